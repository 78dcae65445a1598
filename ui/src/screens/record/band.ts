// The band of a hold: held time below, the clock on the wall above, and a cut where that clock jumps.

/** What the drawing needs; times as the back end gave them. */
export interface HoldTimes {
  /** RFC 3339 with offset. */
  started: string;
  /** RFC 3339 with offset: when the end may be taken. */
  opens: string;
  elapsed: number;
  required: number;
  /** Where the wall clock jumps, in seconds after the start, with the words for it. */
  cut: { after: number; label: string } | null;
}

export interface Tick {
  x: number;
  label: string;
  strong: boolean;
}

export interface Band {
  /** Left and right end of the band. */
  left: number;
  right: number;
  /** Where the filled part ends. */
  held: number;
  below: Tick[];
  above: Tick[];
  cut: { x: number; label: string } | null;
}

const MINUTE = 60;
const HOUR = 3600;
const STEPS = [
  MINUTE,
  2 * MINUTE,
  5 * MINUTE,
  10 * MINUTE,
  15 * MINUTE,
  30 * MINUTE,
  HOUR,
  2 * HOUR,
  4 * HOUR,
  6 * HOUR,
  12 * HOUR,
  24 * HOUR,
];

/** Lays the band out between `left` and `right`, with at least `room` units between two labels. */
export function band(times: HoldTimes, left: number, right: number, room = 84): Band {
  const span = Math.max(times.required, 1);
  const x = (seconds: number): number => left + ((right - left) * clamp(seconds, 0, span)) / span;
  const step = STEPS.find((one) => ((right - left) * one) / span >= room) ?? 24 * HOUR;
  const cut = findCut(times);
  return {
    left,
    right,
    held: x(times.elapsed),
    below: below(span, step, x),
    above: above(times, span, step, x, room),
    cut: cut === null ? null : { x: x(cut.after), label: cut.label },
  };
}

function below(span: number, step: number, x: (seconds: number) => number): Tick[] {
  const ticks: Tick[] = [];
  for (let at = 0; at < span; at += step)
    ticks.push({ x: x(at), label: duration(at, step), strong: at === 0 });
  const last = ticks.at(-1);
  if (last !== undefined && last.x > x(span) - (x(step) - x(0)) / 2 && ticks.length > 1)
    ticks.pop();
  ticks.push({ x: x(span), label: duration(span, step), strong: true });
  return ticks;
}

function duration(seconds: number, step: number): string {
  if (step >= HOUR && seconds % HOUR === 0) return `${seconds / HOUR} h`;
  if (step < HOUR && seconds < HOUR) return `${Math.round(seconds / MINUTE)} min`;
  return hoursMinutes(seconds);
}

function above(
  times: HoldTimes,
  span: number,
  step: number,
  x: (seconds: number) => number,
  room: number,
): Tick[] {
  const start = wall(times.started);
  if (start === null) return [];
  const cut = findCut(times);
  const ticks: Tick[] = [{ x: x(0), label: clock(start), strong: true }];
  let labelled = x(0);
  for (const { from, to, by } of stretches(span, cut)) {
    // Seconds run evenly; only their names on the wall jump.
    const name = start + by;
    for (
      let at = nextMultiple(name + from, Math.min(step, HOUR)) - name;
      at < to;
      at += Math.min(step, HOUR)
    ) {
      if (at <= 0) continue;
      const place = x(at);
      const crowded = place - labelled < room || x(span) - place < room * 0.8;
      const besideCut = cut !== null && Math.abs(place - x(cut.after)) < 24;
      const label = crowded || besideCut ? '' : clock(name + at);
      if (label !== '') labelled = place;
      ticks.push({ x: place, label, strong: false });
    }
  }
  ticks.push({ x: x(span), label: clock(wall(times.opens) ?? start + span), strong: true });
  return ticks;
}

/** The parts of the hold between jumps of the wall clock, each with what the clock is ahead of the start. */
function stretches(
  span: number,
  cut: { after: number; by: number } | null,
): { from: number; to: number; by: number }[] {
  if (cut === null) return [{ from: 0, to: span, by: 0 }];
  return [
    { from: 0, to: cut.after, by: 0 },
    { from: cut.after, to: span, by: cut.by },
  ];
}

function nextMultiple(value: number, of: number): number {
  return Math.ceil(value / of) * of;
}

/** The jump with its size: what the clock is ahead of the start from then on. */
function findCut(times: HoldTimes): { after: number; by: number; label: string } | null {
  if (times.cut === null || times.cut.after >= times.required) return null;
  return { ...times.cut, by: offset(times.opens) - offset(times.started) };
}

/** Seconds since midnight as the wall showed it, or none where the text is no time. */
function wall(iso: string): number | null {
  const found = /T(\d{2}):(\d{2})(?::(\d{2}))?/.exec(iso);
  if (found === null) return null;
  return Number(found[1]) * HOUR + Number(found[2]) * MINUTE + Number(found[3] ?? '0');
}

function offset(iso: string): number {
  const found = /([+-])(\d{2}):(\d{2})$/.exec(iso);
  if (found === null) return 0;
  const size = Number(found[2]) * HOUR + Number(found[3]) * MINUTE;
  return found[1] === '-' ? -size : size;
}

function clock(seconds: number): string {
  const day = ((seconds % (24 * HOUR)) + 24 * HOUR) % (24 * HOUR);
  return `${two(Math.floor(day / HOUR))}:${two(Math.floor((day % HOUR) / MINUTE))}`;
}

/** Elapsed time as h:mm. */
export function hoursMinutes(seconds: number): string {
  const whole = Math.max(0, Math.floor(seconds));
  return `${Math.floor(whole / HOUR)}:${two(Math.floor((whole % HOUR) / MINUTE))}`;
}

/** What is shown large: h:mm, and by the second while less than a minute is left. */
export function elapsedText(elapsed: number, required: number): string {
  const left = required - elapsed;
  if (left <= 0 || left > MINUTE) return hoursMinutes(elapsed);
  return `${hoursMinutes(elapsed)}:${two(Math.floor(elapsed) % MINUTE)}`;
}

/** "8 h 42 min", "12 min", "40 s": for the two halves of the band. */
export function inWords(seconds: number): string {
  const whole = Math.max(0, Math.floor(seconds));
  const hours = Math.floor(whole / HOUR);
  const minutes = Math.floor((whole % HOUR) / MINUTE);
  if (hours > 0) return minutes > 0 ? `${hours} h ${minutes} min` : `${hours} h`;
  return minutes > 0 ? `${minutes} min` : `${whole} s`;
}

/** Milliseconds until what is shown changes: a whole minute, a second in the last minute, none when it is over. */
export function untilChange(elapsed: number, required: number): number | null {
  const left = required - elapsed;
  if (left <= 0) return MINUTE * 1000;
  const step = left <= MINUTE + 1 ? 1 : MINUTE;
  const toNext = step - (elapsed % step);
  const toLast = left > MINUTE ? left - MINUTE : Infinity;
  return Math.max(50, Math.min(toNext, toLast, left) * 1000);
}

function two(number: number): string {
  return String(number).padStart(2, '0');
}

function clamp(value: number, low: number, high: number): number {
  return Math.min(high, Math.max(low, value));
}

// The day line as numbers: where night, day, the sun's arc and now stand on a line so long.

export type Edge = { fraction: number; clock: string };
export type Day = {
  now_fraction: number;
  sunrise: Edge | null;
  sunset: Edge | null;
  heights: [number, number][];
};

export type Drawn = {
  nights: [number, number][];
  /** Points of the arc over the line, as an SVG path. */
  arc: string;
  now: { x: number; y: number; day: boolean };
  ticks: number[];
  noon: number;
};

/** Height of the arc above the line in px for a sun overhead. */
const TALL = 46;

/** Lays the day out on a line from `left` to `right` at height `y`. */
export function lay(day: Day, left: number, right: number, y: number): Drawn {
  const at = (fraction: number): number => left + fraction * (right - left);
  const rise = day.sunrise?.fraction ?? null;
  const set = day.sunset?.fraction ?? null;
  const highest = Math.max(...day.heights.map(([, h]) => h), 0);
  const nights: [number, number][] = [];
  if (rise !== null) nights.push([at(0), at(rise)]);
  if (set !== null) nights.push([at(set), at(1)]);
  // Neither rise nor set: a day or a night all through.
  if (rise === null && set === null && highest <= 0) nights.push([at(0), at(1)]);
  const lift = (h: number): number => y - (Math.max(h, 0) / 90) * TALL;
  const over = day.heights.filter(
    ([f, h]) => h > 0 && (rise === null || f >= rise) && (set === null || f <= set),
  );
  const points = [
    ...(rise === null ? [] : [[at(rise), y] as const]),
    ...over.map(([f, h]) => [at(f), lift(h)] as const),
    ...(set === null ? [] : [[at(set), y] as const]),
  ];
  const arc = points.map(([x, h], i) => `${i === 0 ? 'M' : 'L'}${round(x)} ${round(h)}`).join('');
  const height = heightAt(day.heights, day.now_fraction);
  const isDay = height > 0;
  return {
    nights,
    arc,
    now: { x: round(at(day.now_fraction)), y: round(isDay ? lift(height) : y), day: isDay },
    ticks: [9, 12, 15, 18].map((hour) => round(at(hour / 24))),
    noon: round(at(0.5)),
  };
}

/** The sun's height at a part of the day, between the two heights that are known beside it. */
export function heightAt(heights: [number, number][], fraction: number): number {
  for (let i = 1; i < heights.length; i++) {
    const before = heights[i - 1];
    const after = heights[i];
    if (before && after && after[0] >= fraction) {
      const span = after[0] - before[0];
      const share = span === 0 ? 0 : (fraction - before[0]) / span;
      return before[1] + share * (after[1] - before[1]);
    }
  }
  return heights.at(-1)?.[1] ?? -1;
}

/** The day in a few sentences, for who does not read the line. */
export function inWords(day: Day & { now: { clock: string }; noon: string }): string {
  const height = Math.round(heightAt(day.heights, day.now_fraction));
  const now =
    height > 0
      ? `At ${day.now.clock} the sun stands ${height}° above a level horizon.`
      : `At ${day.now.clock} the sun is below the horizon.`;
  if (!day.sunrise || !day.sunset) {
    const all = day.heights.some(([, h]) => h > 0);
    return `${now} It ${all ? 'does not set' : 'does not rise'} on this day.`;
  }
  return (
    `${now} Sunrise ${day.sunrise.clock}, highest ${day.noon}, sunset ${day.sunset.clock}. ` +
    'Worked out from where the site lies; hills are not in it.'
  );
}

/** True when two labels of about 48 px, centred on these places, would touch. */
export function collide(a: number, b: number): boolean {
  return Math.abs(a - b) < 56;
}

function round(value: number): number {
  return Math.round(value * 10) / 10;
}

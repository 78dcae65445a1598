import { describe, expect, it } from 'vitest';
import { band, elapsedText, hoursMinutes, inWords, untilChange, type HoldTimes } from './band';

const HOUR = 3600;

// The hold of the demonstration over the night of a clock change: 12 h that begin at 18:05 end at 07:05.
const overTheChange: HoldTimes = {
  started: '2026-09-05T18:05:00-04:00',
  opens: '2026-09-06T07:05:00-03:00',
  elapsed: 8 * HOUR + 42 * 60,
  required: 12 * HOUR,
  cut: { after: 5 * HOUR + 55 * 60, label: 'clocks jump 00:00 to 01:00' },
};

describe('band', () => {
  it('fills in proportion to the time held', () => {
    const drawn = band({ ...overTheChange, elapsed: 6 * HOUR }, 100, 1300);
    expect(drawn.held).toBeCloseTo(700);
  });

  it('never fills beyond its end', () => {
    expect(band({ ...overTheChange, elapsed: 40 * HOUR }, 0, 1000).held).toBe(1000);
    expect(band({ ...overTheChange, elapsed: -5 }, 0, 1000).held).toBe(0);
  });

  it('counts the hours held below, from nought to the end', () => {
    const labels = band(overTheChange, 75, 1205).below.map((tick) => tick.label);
    expect(labels[0]).toBe('0 h');
    expect(labels.at(-1)).toBe('12 h');
    expect(labels).toContain('2 h');
  });

  it('cuts the wall clock where it jumps, 5 h 55 min after the start', () => {
    const drawn = band(overTheChange, 0, 12 * HOUR);
    expect(drawn.cut?.x).toBe(5 * HOUR + 55 * 60);
    expect(drawn.cut?.label).toBe('clocks jump 00:00 to 01:00');
  });

  it('names the hours after the jump by the new time: 03:00 is 7 h 55 min after 18:05', () => {
    const drawn = band(overTheChange, 0, 12 * HOUR, 1);
    const three = drawn.above.find((tick) => tick.label === '03:00');
    expect(three?.x).toBe(7 * HOUR + 55 * 60);
    expect(drawn.above.find((tick) => tick.label === '00:30')).toBeUndefined();
    expect(drawn.above.at(-1)?.label).toBe('07:05');
  });

  it('has no cut where no clock jumps', () => {
    const plain = band(
      { ...overTheChange, opens: '2026-09-06T06:05:00-04:00', cut: null },
      0,
      1000,
    );
    expect(plain.cut).toBeNull();
    expect(plain.above.at(-1)?.label).toBe('06:05');
  });

  it('counts a short wait in minutes', () => {
    const short = band(
      {
        started: '2026-08-25T16:00:00-04:00',
        opens: '2026-08-25T16:10:00-04:00',
        elapsed: 60,
        required: 600,
        cut: null,
      },
      0,
      1000,
    );
    expect(short.below[0]?.label).toBe('0 min');
    expect(short.below.at(-1)?.label).toBe('10 min');
    expect(short.above[0]?.label).toBe('16:00');
  });

  it('leaves room between two labels', () => {
    const drawn = band(overTheChange, 0, 500, 84);
    const labelled = drawn.above.filter((tick) => tick.label !== '');
    labelled
      .slice(1)
      .forEach((tick, at) => expect(tick.x - (labelled[at]?.x ?? 0)).toBeGreaterThanOrEqual(60));
  });
});

describe('times in words', () => {
  it('are h:mm, and by the second in the last minute', () => {
    expect(hoursMinutes(8 * HOUR + 42 * 60 + 59)).toBe('8:42');
    expect(elapsedText(11 * HOUR, 12 * HOUR)).toBe('11:00');
    expect(elapsedText(12 * HOUR - 59, 12 * HOUR)).toBe('11:59:01');
    expect(elapsedText(12 * HOUR, 12 * HOUR)).toBe('12:00');
  });

  it('say hours and minutes apart', () => {
    expect(inWords(3 * HOUR + 18 * 60)).toBe('3 h 18 min');
    expect(inWords(2 * HOUR)).toBe('2 h');
    expect(inWords(600)).toBe('10 min');
    expect(inWords(40)).toBe('40 s');
  });

  it('wake by the minute, then by the second', () => {
    expect(untilChange(30, 600)).toBe(30_000);
    expect(untilChange(541, 600)).toBe(1000);
    expect(untilChange(530, 600)).toBe(10_000);
    expect(untilChange(600, 600)).toBe(60_000);
  });
});

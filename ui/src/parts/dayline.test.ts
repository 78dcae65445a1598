import { describe, expect, it } from 'vitest';
import { heightAt, inWords, lay, type Day } from './dayline';

// 11 Sep 2026 at 23.10° S, 69.60° W (UTC−3), rounded: rise 07:42, set 19:33, 62° at noon.
const rise = 7.7 / 24;
const set = 19.55 / 24;
const heights: [number, number][] = Array.from({ length: 97 }, (_, i) => {
  const f = i / 96;
  return [f, 62 * Math.sin(((f - rise) / (set - rise)) * Math.PI)];
});
const day = (now_fraction: number): Day => ({
  now_fraction,
  sunrise: { fraction: rise, clock: '07:42' },
  sunset: { fraction: set, clock: '19:33' },
  heights,
});

describe('the day line', () => {
  it('is night before sunrise and after sunset', () => {
    const drawn = lay(day(6.67 / 24), 0, 240, 50);
    expect(drawn.nights).toHaveLength(2);
    expect(drawn.nights[0]?.[0]).toBe(0);
    expect(drawn.nights[0]?.[1]).toBeCloseTo(77, 6);
    expect(drawn.nights[1]?.[1]).toBe(240);
    expect(drawn.now).toEqual({ x: 66.7, y: 50, day: false });
  });
  it('lifts the disc with the sun and puts noon in the middle', () => {
    const drawn = lay(day(13.6 / 24), 0, 240, 50);
    expect(drawn.now.day).toBe(true);
    expect(drawn.now.y).toBeLessThan(20);
    expect(drawn.noon).toBe(120);
    expect(drawn.ticks).toEqual([90, 120, 150, 180]);
  });
  it('draws a day without sunset, and a night without sunrise', () => {
    const always: Day = { now_fraction: 0.5, sunrise: null, sunset: null, heights: [[0, 5], [1, 6]] };
    expect(lay(always, 0, 100, 50).nights).toEqual([]);
    const never: Day = { ...always, heights: [[0, -9], [1, -8]] };
    expect(lay(never, 0, 100, 50).nights).toEqual([[0, 100]]);
    expect(lay(never, 0, 100, 50).arc).toBe('');
  });
  it('is told in words', () => {
    const told = (at: number, clock: string): string =>
      inWords({ ...day(at), now: { clock }, noon: '13:35' });
    expect(told(6.67 / 24, '06:40')).toContain('At 06:40 the sun is below the horizon. Sunrise 07:42');
    expect(told(13.6 / 24, '13:36')).toContain('stands 62° above a level horizon');
    const never = { ...day(0.5), sunrise: null, sunset: null, heights: [[0, -9], [1, -8]] as [number, number][] };
    expect(inWords({ ...never, now: { clock: '12:00' }, noon: '' })).toContain('does not rise');
  });
  it('reads heights between two that are known', () => {
    expect(heightAt([[0, 0], [0.5, 10], [1, 0]], 0.25)).toBeCloseTo(5, 9);
    expect(heightAt([], 0.25)).toBeLessThan(0);
  });
});

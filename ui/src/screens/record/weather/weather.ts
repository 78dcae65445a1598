// What was typed of the weather, and how what was noted before is told.
import type { Observation, WeatherLimit } from '../../../generated/api';

/** What is typed of one quantity: with its unit, or in words. */
export interface Seen {
  quantity: string;
  typed: string;
  instrument: string;
}

/** The quantities of which something was typed, as it was typed. */
export function observations(seen: readonly Seen[]): Observation[] {
  return seen
    .filter((one) => one.typed.trim() !== '')
    .map(({ quantity, typed, instrument }) => ({
      quantity,
      typed: typed.trim(),
      ...(instrument.trim() === '' ? {} : { instrument: instrument.trim() }),
    }));
}

/** What is missing before it can be noted; null when nothing is. */
export function lacks(seen: readonly Seen[]): string | null {
  const lone = seen.some((one) => one.typed.trim() === '' && one.instrument.trim() !== '');
  if (lone) return 'Say what the instrument showed';
  return observations(seen).length === 0 ? 'Type what was seen' : null;
}

/** "7.3 m/s with AN-01, Fri 11 Sep 08:04, Ivana Brize"; empty where nothing was noted. */
export function lastNoted(limit: WeatherLimit): string {
  const last = limit.observed.at(-1);
  if (last === undefined) return '';
  const read = last.instrument === '' ? last.text : `${last.text} with ${last.instrument}`;
  return `${read}, ${last.at.day} ${last.at.clock}, ${last.by}`;
}

/** How often it was noted before the last time, in words; empty where it was not. */
export function before(limit: WeatherLimit): string {
  const count = limit.observed.length - 1;
  if (count < 1) return '';
  return count === 1 ? 'Noted once before.' : `Noted ${count} times before.`;
}

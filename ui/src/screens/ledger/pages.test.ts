import { describe, expect, it } from 'vitest';
import type { LedgerEntry } from '../../generated/api';
import { byDay, nextPage } from './pages';

const entry = (number: number, day: string): LedgerEntry =>
  ({ id: String(number), number, at: { iso: '', day, clock: '' } }) as LedgerEntry;

describe('pages of the ledger', () => {
  it('puts entries under their days, none lost and none twice', () => {
    // Number 3 claims an earlier day than its neighbours: a late entry.
    const list = [entry(4, 'Fri'), entry(3, 'Thu'), entry(2, 'Fri'), entry(1, 'Thu')];
    const days = byDay(list);
    expect(days.map((d) => d.day)).toEqual(['Fri', 'Thu']);
    expect(days.flatMap((d) => d.entries.map((e) => e.number)).sort()).toEqual([1, 2, 3, 4]);
  });
  it('knows when there is nothing earlier', () => {
    expect(nextPage([entry(2, 'a')])).toBe(2);
    expect(nextPage([entry(1, 'a')])).toBeNull();
    expect(nextPage([])).toBeNull();
  });
});

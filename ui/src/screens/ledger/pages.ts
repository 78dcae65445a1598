// Pages of the ledger put together: days as headings, and what comes before the last one shown.
import type { LedgerEntry } from '../../generated/api';

export type LedgerDay = { day: string; entries: LedgerEntry[] };

/** Entries under the day that they claim, in the order given; a day may come twice. */
export function byDay(entries: LedgerEntry[]): LedgerDay[] {
  const days: LedgerDay[] = [];
  for (const entry of entries) {
    const last = days.at(-1);
    if (last?.day === entry.at.day) last.entries.push(entry);
    else if (days.some((d) => d.day === entry.at.day)) {
      days.find((d) => d.day === entry.at.day)?.entries.push(entry);
    } else days.push({ day: entry.at.day, entries: [entry] });
  }
  return days;
}

/** The number to ask earlier entries with; null when the first one is there. */
export function nextPage(entries: LedgerEntry[]): number | null {
  const last = entries.at(-1);
  if (!last || last.number <= 1) return null;
  return last.number;
}

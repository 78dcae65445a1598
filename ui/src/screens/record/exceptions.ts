// A table by exception: one answer for all rows, and the rows that differ.

export interface Exception {
  row: string;
  choice: string;
  note: string;
}

/** What is typed of a table and not yet entered. */
export interface TableDraft {
  /** The option for all rows not named; empty until it is chosen. */
  others: string;
  /** Rows counted at the dish, as typed. */
  count: string;
  exceptions: Exception[];
  /** The instrument used, where the step asks for one. */
  instrument: string;
}

export const EMPTY_TABLE: TableDraft = { others: '', count: '', exceptions: [], instrument: '' };

/** Reads a kept draft; anything that is none begins anew. */
export function readTableDraft(text: string): TableDraft {
  try {
    const read: unknown = JSON.parse(text);
    if (typeof read !== 'object' || read === null) return EMPTY_TABLE;
    const { others, count, exceptions, instrument } = read as Record<string, unknown>;
    return {
      others: asText(others),
      count: asText(count),
      exceptions: Array.isArray(exceptions) ? exceptions.flatMap(readException) : [],
      instrument: asText(instrument),
    };
  } catch {
    return EMPTY_TABLE;
  }
}

function readException(value: unknown): Exception[] {
  if (typeof value !== 'object' || value === null) return [];
  const { row, choice, note } = value as Record<string, unknown>;
  return typeof row === 'string' ? [{ row, choice: asText(choice), note: asText(note) }] : [];
}

function asText(value: unknown): string {
  return typeof value === 'string' ? value : '';
}

/** The state of one row: its own where it differs, else that of all others. */
export function choiceOf(draft: TableDraft, row: string): string {
  return draft.exceptions.find((one) => one.row === row)?.choice ?? draft.others;
}

/** Gives a row its own state; the state of all others makes it plain again. */
export function setRow(draft: TableDraft, row: string, choice: string, note: string): TableDraft {
  const others = draft.exceptions.filter((one) => one.row !== row);
  if (choice === draft.others && note === '') return { ...draft, exceptions: others };
  return {
    ...draft,
    exceptions: [...others, { row, choice, note }].sort((a, b) => byName(a.row, b.row)),
  };
}

/** Names with numbers in their natural order: G2 before G14. */
export function byName(a: string, b: string): number {
  return a.localeCompare(b, 'en', { numeric: true });
}

/** How many rows have each option. */
export function countByChoice(draft: TableDraft, rows: readonly string[]): Map<string, number> {
  const counts = new Map<string, number>();
  for (const row of rows) {
    const choice = choiceOf(draft, row);
    if (choice !== '') counts.set(choice, (counts.get(choice) ?? 0) + 1);
  }
  return counts;
}

/** What still stands in the way of entering the table; empty when nothing does. */
export function tableLacks(draft: TableDraft, rows: readonly string[]): string {
  if (draft.others === '' && draft.exceptions.length < rows.length) return 'Say how the others are';
  if (!/^\d+$/.test(draft.count)) return 'Count them at the dish';
  return '';
}

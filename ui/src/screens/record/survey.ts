// A survey typed by hand: all others in one state, the rows that were measured with their numbers.

import { byName } from './exceptions';

export type RowState = 'measured' | 'within' | 'not_measured' | 'masked';

export interface SurveyRow {
  row: string;
  state: RowState;
  /** One text a column, as typed. */
  typed: string[];
  note: string;
}

/** What is typed of a survey and not yet entered. */
export interface SurveyDraft {
  others: '' | 'within' | 'not_measured';
  /** Why the others were not measured. */
  reason: string;
  rows: SurveyRow[];
}

export const EMPTY_SURVEY: SurveyDraft = { others: '', reason: '', rows: [] };

const STATES: readonly RowState[] = ['measured', 'within', 'not_measured', 'masked'];

export const STATE_WORDS: Readonly<Record<RowState, string>> = {
  measured: 'Measured',
  within: 'Within, by eye',
  not_measured: 'Not measured',
  masked: 'Masked or cracked',
};

/** Reads a kept draft; anything that is none begins anew. */
export function readSurveyDraft(text: string): SurveyDraft {
  try {
    const read: unknown = JSON.parse(text);
    if (typeof read !== 'object' || read === null) return EMPTY_SURVEY;
    const { others, reason, rows } = read as Record<string, unknown>;
    return {
      others: others === 'within' || others === 'not_measured' ? others : '',
      reason: typeof reason === 'string' ? reason : '',
      rows: Array.isArray(rows) ? rows.flatMap(readRow) : [],
    };
  } catch {
    return EMPTY_SURVEY;
  }
}

function readRow(value: unknown): SurveyRow[] {
  if (typeof value !== 'object' || value === null) return [];
  const { row, state, typed, note } = value as Record<string, unknown>;
  const known = STATES.find((one) => one === state);
  if (typeof row !== 'string' || known === undefined) return [];
  const texts = Array.isArray(typed)
    ? typed.map((one) => (typeof one === 'string' ? one : ''))
    : [];
  return [{ row, state: known, typed: texts, note: typeof note === 'string' ? note : '' }];
}

/** The row as it stands, or none where it is like all others. */
export function rowOf(draft: SurveyDraft, row: string): SurveyRow | null {
  return draft.rows.find((one) => one.row === row) ?? null;
}

/** Puts a row in, in its place. */
export function putRow(draft: SurveyDraft, row: SurveyRow): SurveyDraft {
  const rows = [...draft.rows.filter((one) => one.row !== row.row), row];
  return { ...draft, rows: rows.sort((a, b) => byName(a.row, b.row)) };
}

/** Makes a row like all others again. */
export function dropRow(draft: SurveyDraft, row: string): SurveyDraft {
  return { ...draft, rows: draft.rows.filter((one) => one.row !== row) };
}

/** Changes one number of a row; a number typed makes the row measured. */
export function typeInto(
  draft: SurveyDraft,
  row: string,
  column: number,
  columns: number,
  text: string,
): SurveyDraft {
  const old = rowOf(draft, row);
  const typed = Array.from({ length: columns }, (_, at) => old?.typed[at] ?? '');
  typed[column] = text;
  if (typed.every((one) => one === '') && (old?.note ?? '') === '') return dropRow(draft, row);
  return putRow(draft, { row, state: 'measured', typed, note: old?.note ?? '' });
}

/** Sets the state of a row; only a measured row has numbers. */
export function setState(
  draft: SurveyDraft,
  row: string,
  state: RowState,
  columns: number,
): SurveyDraft {
  const old = rowOf(draft, row);
  const numbers = Array.from({ length: columns }, (_, at) => old?.typed[at] ?? '');
  const typed = state === 'measured' ? numbers : [];
  return putRow(draft, { row, state, typed, note: old?.note ?? '' });
}

/** Rows by state, those not named included. */
export function countStates(draft: SurveyDraft, total: number): Record<RowState, number> {
  const counts = { measured: 0, within: 0, not_measured: 0, masked: 0 };
  for (const one of draft.rows) counts[one.state] += 1;
  if (draft.others !== '') counts[draft.others] += Math.max(0, total - draft.rows.length);
  return counts;
}

/** What still stands in the way of entering the survey; empty when nothing does. */
export function surveyLacks(draft: SurveyDraft, total: number): string {
  const half = draft.rows.find(
    (one) => one.state === 'measured' && one.typed.some((text) => text.trim() === ''),
  );
  if (half !== undefined) return `${half.row} lacks a number`;
  if (draft.rows.length >= total) return '';
  if (draft.others === '') return `Say how the other ${total - draft.rows.length} are`;
  if (draft.others === 'not_measured' && draft.reason.trim() === '')
    return 'Say why the others were not measured';
  return '';
}

// The requests that this screen makes, in the shape that the back end takes.

import type { AnswerStep, MeasuredRow, Request, LoggerFile, Typed } from '../../generated/api';
import type { TableDraft } from './exceptions';
import type { Told } from './start';
import type { SurveyDraft } from './survey';
import { observations, type Seen } from './weather/weather';

export interface Answering {
  record: string;
  step: string;
  typed: Typed;
  instrument?: string | null;
  /** The reason for keeping a questioned answer. */
  insist?: string | null;
}

/** Enters an answer to an open step. */
export function answer(asked: Answering): Request {
  return { do: 'answer', ...answerFields(asked) };
}

/** Corrects the current answer; the original stays. */
export function correct(asked: Answering, reason: string): Request {
  return { do: 'correct', answer: answerFields(asked), reason };
}

function answerFields(asked: Answering): AnswerStep {
  const { record, step, typed, instrument, insist } = asked;
  return {
    record,
    step,
    typed,
    ...(instrument ? { instrument } : {}),
    ...(insist ? { insist } : {}),
  };
}

export function tableTyped(draft: TableDraft): Typed {
  const rows = draft.exceptions.map(({ row, choice, note }) => ({
    row,
    choice: choice === '' ? draft.others : choice,
    ...(note.trim() === '' ? {} : { note: note.trim() }),
  }));
  return { table: { others: draft.others, count: Number(draft.count), rows } };
}

export function startAttempt(
  record: string,
  again: { fromStep: string; reason: string } | null,
  told: Told,
): Request {
  const more = again === null ? {} : { from_step: again.fromStep, reason: again.reason };
  const help = told.helpers.length === 0 ? {} : { assisted_by: told.helpers };
  return { do: 'start_attempt', record, ...more, ...help, ...given('permit', told.permit) };
}

/** Notes what was seen of the weather, all of it as one entry. */
export function noteWeather(record: string, seen: readonly Seen[]): Request {
  return { do: 'note_weather', record, observations: observations(seen) };
}

export function interrupt(record: string, reason: string): Request {
  return { do: 'interrupt', record, reason };
}

export function startHold(record: string, step: string): Request {
  return { do: 'start_hold', record, step };
}

export function endHold(record: string, step: string): Request {
  return { do: 'end_hold', record, step };
}

export function finish(record: string): Request {
  return { do: 'finish', record };
}

export function judge(record: string): Request {
  return { do: 'judge', record };
}

export function review(record: string, decision: 'accept' | 'reject', reason: string): Request {
  const more = reason.trim() === '' ? {} : { reason: reason.trim() };
  return { do: 'review', record, decision, ...more };
}

export function witnessPresent(record: string, step: string): Request {
  return { do: 'deal_with_witness', record, step, witness: { present: {} } };
}

export interface Invitation {
  invited: string;
  /** RFC 3339. */
  invited_at: string;
  evidence: string;
}

export function witnessAbsent(record: string, step: string, invitation: Invitation): Request {
  return { do: 'deal_with_witness', record, step, witness: { invited_absent: invitation } };
}

/** A survey as typed by hand; `again` says why it is taken anew. */
export function surveyTyped(
  record: string,
  step: string,
  draft: SurveyDraft,
  instrument: string,
  again: string,
): Request {
  const rows = draft.rows.map(({ row, state, typed, note }): MeasuredRow => ({
    row,
    state,
    ...(typed.length === 0 ? {} : { typed: typed.map((one) => one.trim()) }),
    ...given('note', note),
  }));
  return {
    do: 'survey',
    record,
    step,
    rows,
    ...(draft.others === '' ? {} : { others: draft.others }),
    ...given('others_reason', draft.reason),
    ...given('instrument', instrument),
    ...given('reason', again),
  };
}

export interface SurveyFile {
  name: string;
  base64: string;
  answers: Record<string, string>;
  instrument: string;
}

/** A survey from a file, with the answers to what the file does not say. */
export function surveyFile(record: string, step: string, file: SurveyFile, again: string): Request {
  return {
    do: 'survey',
    record,
    step,
    file: { base64: file.base64 },
    name: file.name,
    answers: file.answers,
    ...given('instrument', file.instrument),
    ...given('reason', again),
  };
}

/** Series from files; `again` says why they are imported anew. */
export function importSeries(
  record: string,
  step: string,
  files: LoggerFile[],
  instruments: Record<string, string>,
  again: string,
): Request {
  return { do: 'import_series', record, step, files, instruments, ...given('reason', again) };
}

/** A field only where something was said. */
function given<K extends string>(name: K, text: string): { [key in K]?: string } {
  return text.trim() === '' ? {} : ({ [name]: text.trim() } as { [key in K]?: string });
}

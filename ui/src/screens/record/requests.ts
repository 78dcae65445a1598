// The requests that this screen makes, in the shape that the back end takes.

import type { Request } from '../../generated/api';
import type { TableDraft } from './exceptions';
import type { SurveyDraft } from './survey';

/** What was answered to a step, as typed. */
export type Typed =
  | { confirm: Record<string, never> }
  | { read: string }
  | { choose: string }
  | { photo: { base64: string } }
  | {
      table: {
        others: string;
        count: number;
        rows: { row: string; choice: string; note?: string }[];
      };
    }
  | { missing: string }
  | { not_applicable: string };

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

function answerFields(asked: Answering): Record<string, unknown> {
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
): Request {
  const more = again === null ? {} : { from_step: again.fromStep, reason: again.reason };
  return { do: 'start_attempt', record, ...more };
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

/** The survey as typed by hand. */
export function surveyTyped(
  record: string,
  step: string,
  draft: SurveyDraft,
  replaces: string,
): Request {
  const others = draft.others === '' ? 'not_measured' : draft.others;
  return {
    do: 'survey',
    record,
    step,
    typed: {
      others: {
        state: others,
        ...(draft.reason.trim() === '' ? {} : { reason: draft.reason.trim() }),
      },
      rows: draft.rows.map(({ row, state, typed, note }) => ({
        row,
        state,
        typed,
        ...(note.trim() === '' ? {} : { note: note.trim() }),
      })),
    },
    ...(replaces.trim() === '' ? {} : { reason: replaces.trim() }),
  };
}

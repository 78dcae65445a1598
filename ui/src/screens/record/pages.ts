// Which page of a record is shown: what is asked for, else where the work stands.
import type { AttemptView, RecordView, StepView } from '../../generated/api';
import { stepAt } from './steps';

export type Page =
  | { page: 'begin' }
  | { page: 'form' }
  | { page: 'verdict' }
  /** Everything is answered; the attempt waits to be finished, judged or begun again. */
  | { page: 'close' }
  | { page: 'step'; step: StepView };

export function isRunning(view: RecordView): boolean {
  return view.attempt?.state === 'in_progress';
}

export function page(view: RecordView, asked: string | null, form: boolean): Page {
  if (form) return { page: 'form' };
  if (view.attempt === null) return { page: 'begin' };
  if (asked !== null) {
    const step = stepAt(view.steps, asked, '');
    if (step?.id === asked) return { page: 'step', step };
  }
  if (isRunning(view)) {
    const step = view.current === '' ? null : stepAt(view.steps, view.current, '');
    return step === null ? { page: 'close' } : { page: 'step', step };
  }
  return view.verdict !== null && view.attempt.state !== 'interrupted'
    ? { page: 'verdict' }
    : { page: 'close' };
}

/** "Leak, attempt 3": the requirement in a word, the full title stands in the form. */
export function titleOf(view: RecordView): string {
  const word = view.requirement === '' ? view.title : view.requirement.replaceAll('-', ' ');
  const name = word.charAt(0).toUpperCase() + word.slice(1);
  return view.attempt === null ? name : `${name}, attempt\u00a0${view.attempt.number}`;
}

/** When and by whom an attempt was begun, under which permit, with whose help. */
export function begun(attempt: AttemptView): string {
  const { started, by, permit, assisted_by: helpers } = attempt;
  const said = [`Started ${started.day} ${started.clock} by ${by}.`];
  if (helpers.length > 0) said.push(`Helped by ${helpers.join(', ')}.`);
  if (permit !== '') said.push(`Permit ${permit}.`);
  return said.join(' ');
}

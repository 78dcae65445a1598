// Which step is at hand, what the step line shows, and how the whole form is told.

import type { GivenView, StepView } from '../../generated/api';

/** Answered in some way, also by "not measured" with its reason. */
export function isAnswered(step: StepView): boolean {
  return step.state === 'done' || step.state === 'missing' || step.state === 'not_applicable';
}

const WORDS: Readonly<Record<StepView['state'], string>> = {
  open: 'open',
  done: 'done',
  missing: 'not measured',
  not_applicable: 'does not apply',
  waiting: 'running',
};

export function stateWord(step: StepView): string {
  return step.state === 'open' && step.optional ? 'open, may stay open' : WORDS[step.state];
}

/** The step to show: the one asked for if it exists, else the first that is open, else the last. */
export function stepAt(
  steps: readonly StepView[],
  asked: string | null,
  current: string,
): StepView | null {
  return (
    steps.find((one) => one.id === asked) ??
    steps.find((one) => one.id === current) ??
    steps.at(-1) ??
    null
  );
}

/** The next open step after this one, else the first open one before it, else none. */
export function nextOpen(steps: readonly StepView[], after: string): string | null {
  const at = steps.findIndex((one) => one.id === after);
  const turned = [...steps.slice(at + 1), ...steps.slice(0, Math.max(at, 0))];
  return turned.find(isToDo)?.id ?? null;
}

/**
 * What is shown after a step was entered: the next open one, or a calculation on the way to it, so
 * that what comes out of the entries is seen before the work goes on.
 */
export function following(steps: readonly StepView[], after: string): string | null {
  const at = steps.findIndex((one) => one.id === after);
  const ahead = steps.slice(at + 1);
  const shown = ahead.find((one) => isToDo(one) || tells(one));
  return shown?.id ?? nextOpen(steps, after);
}

/** A calculation that has something to say of what is entered so far. */
function tells(step: StepView): boolean {
  const asks = step.ask.kind === 'calculation' && step.state === 'waiting';
  return asks && (step.sheet !== null || step.sheet_why_not !== '');
}

/** Open, or a hold that runs; a calculation waits for the verdict and nobody does anything for it. */
function isToDo(step: StepView): boolean {
  return step.state === 'open' || (step.state === 'waiting' && step.hold !== null);
}

/** The answer that counts: the last one. */
export function currentAnswer(step: StepView): GivenView | null {
  return step.given.at(-1) ?? null;
}

/** "Step 14 of 41. 2.10": place in the form and the number that the paper form prints. */
export function placeInForm(steps: readonly StepView[], step: StepView): string {
  const at = steps.findIndex((one) => one.id === step.id);
  return `Step ${at + 1} of ${steps.length}, ${step.number}`;
}

/** Steps that must still be answered before the attempt can be finished. */
export function missing(steps: readonly StepView[]): StepView[] {
  return steps.filter((one) => !one.optional && !isAnswered(one) && asksSomething(one));
}

/** A calculation and the performer's signature are not answered by typing. */
function asksSomething(step: StepView): boolean {
  return step.ask.kind !== 'calculation' && step.ask.kind !== 'signature';
}

/** "One step is open: 8.3 Barometer at the end." or the count and the first three. */
export function missingSentence(steps: readonly StepView[]): string {
  const open = missing(steps);
  const names = open.slice(0, 3).map((one) => `${one.number} ${one.title}`);
  if (open.length === 0) return '';
  if (open.length === 1) return `One step is open: ${names.join('')}.`;
  const more = open.length > names.length ? ` and ${open.length - names.length} more` : '';
  return `${open.length} steps are open: ${names.join('; ')}${more}.`;
}

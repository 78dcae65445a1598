// What is not plain in an attempt: what a reviewer must see before anything else.
import type { RecordView } from '../../generated/api';

export interface Exception {
  /** The step it belongs to; empty for the attempt as a whole. */
  step: string;
  title: string;
  text: string;
  by: string;
}

/** Flags of the attempt, then step by step: flags, corrections, reasons, what was left out. */
export function exceptionsOf(view: RecordView): Exception[] {
  const found: Exception[] = (view.attempt?.flags ?? []).map((flag) => ({
    step: '',
    title: `Attempt ${view.attempt?.number ?? ''}`,
    text: flag.text,
    by: '',
  }));
  for (const step of view.steps) {
    const given = step.given.at(-1);
    const title = `${step.number} ${step.title}`;
    const by = given ? `${given.by}, ${given.at.day} ${given.at.clock}` : '';
    const add = (text: string): void => {
      found.push({ step: step.id, title, text, by });
    };
    if (step.state === 'missing') add(`Not measured. ${given?.reason || given?.text || ''}`.trim());
    if (step.state === 'not_applicable')
      add(`Does not apply. ${given?.reason || given?.text || ''}`.trim());
    if (
      step.state === 'open' &&
      !step.optional &&
      step.ask.kind !== 'calculation' &&
      step.ask.kind !== 'signature'
    ) {
      add('Open: nothing was entered.');
    }
    if (!given) continue;
    // A correction is told below, with what it corrects.
    for (const flag of given.flags) if (flag.code !== 'corrected') add(flag.text);
    const former = step.given.slice(0, -1).map((one) => one.text);
    if (former.length > 0) add(`Corrected from ${former.join(', then ')}. ${given.reason}`.trim());
    else if (given.reason && step.state === 'done') add(`Kept with a reason: ${given.reason}`);
    if (!['', 'direct', 'corrected'].includes(given.how)) add(`Entered: ${given.how}.`);
    if (step.hold && !step.hold.by_clock) add('The hold was taken from two times of day.');
  }
  return found;
}

/** "38 of 41 steps are plain": what comes last, small and countable. */
export function plainSentence(view: RecordView, exceptions: readonly Exception[]): string {
  const touched = new Set(exceptions.map((one) => one.step).filter((one) => one !== ''));
  return `${view.steps.length - touched.size} of ${view.steps.length} steps are plain.`;
}

import { describe, expect, it } from 'vitest';
import type { GivenView, RecordView, StepView } from '../../generated/api';
import { exceptionsOf, plainSentence } from './exceptions';

const at = { iso: '', day: 'Thu 27 Aug', clock: '18:10' };
function given(text: string, more: Partial<GivenView> = {}): GivenView {
  return {
    entry: text,
    name: 'T1-0001',
    text,
    by: 'I. Brize',
    at,
    instrument: '',
    how: 'direct',
    flags: [],
    photo: null,
    reason: '',
    ...more,
  };
}
function step(id: string, more: Partial<StepView>): StepView {
  const ask: StepView['ask'] = { kind: 'confirm' };
  return {
    id,
    number: id,
    title: id,
    text: '',
    caution: '',
    optional: false,
    state: 'done',
    ask,
    given: [given('done')],
    hold: null,
    sheet: null,
    sheet_why_not: '',
    draft: '',
    ...more,
  };
}
function record(steps: StepView[]): RecordView {
  const attempt = { number: 2, flags: [{ code: 'clustered', text: 'Entered in a cluster.' }] };
  return { attempt, steps } as unknown as RecordView;
}

describe('exceptions of an attempt', () => {
  it('are the flags of the attempt, and nothing where all is plain', () => {
    expect(exceptionsOf(record([step('1', {})])).map((one) => one.text)).toEqual([
      'Entered in a cluster.',
    ]);
  });

  it('name corrections with what stood before, and reasons for insisting', () => {
    const found = exceptionsOf(
      record([
        step('1', {
          given: [given('103.1 bar(g)'), given('130.1 bar(g)', { reason: 'digits swapped' })],
        }),
        step('2', { given: [given('133.2 bar(g)', { reason: 'second gauge agrees' })] }),
      ]),
    );
    expect(found.map((one) => one.text)).toContain('Corrected from 103.1 bar(g). digits swapped');
    expect(found.map((one) => one.text)).toContain('Kept with a reason: second gauge agrees');
  });

  it('name what was left out, entered from paper, or is open', () => {
    const found = exceptionsOf(
      record([
        step('1', {
          state: 'missing',
          given: [given('not measured', { reason: 'empty on the paper' })],
        }),
        step('2', { given: [given('x', { how: 'transcribed from form F-0017' })] }),
        step('3', { state: 'open', given: [] }),
        step('4', { state: 'open', given: [], optional: true }),
      ]),
    );
    expect(found.map((one) => one.text)).toEqual([
      'Entered in a cluster.',
      'Not measured. empty on the paper',
      'Entered: transcribed from form F-0017.',
      'Open: nothing was entered.',
    ]);
    expect(found[1]?.by).toBe('I. Brize, Thu 27 Aug 18:10');
  });

  it('leave the plain ones to a count', () => {
    const view = record([step('1', {}), step('2', { state: 'open', given: [] })]);
    expect(plainSentence(view, exceptionsOf(view))).toBe('1 of 2 steps are plain.');
  });
});

import { describe, expect, it } from 'vitest';
import type { RecordView, StepView } from '../../generated/api';
import { begun, page, titleOf } from './pages';

function view(state: string | null, current: string, verdict = false): RecordView {
  const steps = ['a', 'b'].map((id) => ({ id }) as StepView);
  const attempt = state === null ? null : { state, number: 1 };
  return { attempt, current, steps, verdict: verdict ? {} : null } as unknown as RecordView;
}

describe('the page of a record', () => {
  it('begins with cautions where no attempt was started', () => {
    expect(page(view(null, ''), null, false).page).toBe('begin');
    expect(page(view(null, ''), 'a', false).page).toBe('begin');
  });

  it('is the first open step while the attempt runs', () => {
    expect(page(view('in_progress', 'b'), null, false)).toMatchObject({
      page: 'step',
      step: { id: 'b' },
    });
    expect(page(view('in_progress', ''), null, false).page).toBe('close');
  });

  it('is the step that the address names, if the form has it', () => {
    expect(page(view('in_progress', 'b'), 'a', false)).toMatchObject({ step: { id: 'a' } });
    expect(page(view('in_progress', 'b'), 'gone', false)).toMatchObject({ step: { id: 'b' } });
    expect(page(view('awaiting_review', '', true), 'a', false)).toMatchObject({
      step: { id: 'a' },
    });
  });

  it('is the verdict once there is one, and the whole form whenever asked for', () => {
    expect(page(view('awaiting_review', '', true), null, false).page).toBe('verdict');
    expect(page(view('awaiting_verdict', ''), null, false).page).toBe('close');
    expect(page(view('interrupted', 'a', true), null, false).page).toBe('close');
    expect(page(view('in_progress', 'a'), 'a', true).page).toBe('form');
  });
});

describe('the title of a record', () => {
  it('is the requirement in a word, with the attempt', () => {
    const leak = {
      ...view('in_progress', 'a'),
      requirement: 'leak',
      title: 'Gas system leak test',
    };
    expect(titleOf(leak)).toBe('Leak, attempt\u00a01');
    expect(titleOf({ ...leak, attempt: null })).toBe('Leak');
    expect(titleOf({ ...leak, attempt: null, requirement: '' })).toBe('Gas system leak test');
  });
});

describe('how an attempt was begun', () => {
  it('names permit and helpers only where there are any', () => {
    const attempt = {
      started: { iso: '', day: 'Fri 11 Sep', clock: '08:04' },
      by: 'Ivana Brize, gas technician',
      permit: '',
      assisted_by: [] as string[],
    } as unknown as Parameters<typeof begun>[0];
    expect(begun(attempt)).toBe('Started Fri 11 Sep 08:04 by Ivana Brize, gas technician.');
    const more = { ...attempt, permit: 'PTW-0460', assisted_by: ['A', 'B'] };
    expect(begun(more)).toMatch(/technician\. Helped by A, B\. Permit PTW-0460\.$/);
  });
});

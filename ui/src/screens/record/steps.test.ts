import { describe, expect, it } from 'vitest';
import type { Ask, StepView } from '../../generated/api';
import { following, missing, missingSentence, nextOpen, placeInForm, stateWord, stepAt } from './steps';

function step(id: string, state: StepView['state'], more: Partial<StepView> = {}): StepView {
  const ask: Ask = { kind: 'confirm' };
  return {
    id,
    number: `1.${id}`,
    title: `Step ${id}`,
    text: '',
    caution: '',
    optional: false,
    state,
    ask,
    given: [],
    hold: null,
    sheet: null,
    sheet_why_not: '',
    draft: '',
    ...more,
  };
}

const form = [
  step('a', 'done'),
  step('b', 'missing'),
  step('c', 'open'),
  step('d', 'waiting'),
  step('e', 'open', { optional: true }),
];

describe('moving', () => {
  it('shows the step asked for, else the first open, else the last', () => {
    expect(stepAt(form, 'b', 'c')?.id).toBe('b');
    expect(stepAt(form, 'gone', 'c')?.id).toBe('c');
    expect(stepAt(form, null, '')?.id).toBe('e');
    expect(stepAt([], null, '')).toBeNull();
  });

  it('goes to the next open step and turns round at the end', () => {
    expect(nextOpen(form, 'a')).toBe('c');
    expect(nextOpen(form, 'c')).toBe('e');
    expect(nextOpen(form, 'e')).toBe('c');
    expect(nextOpen([step('a', 'done')], 'a')).toBeNull();
  });

  it('stops at a hold that runs, never at a calculation that waits for the verdict', () => {
    const hold = { ended: null } as unknown as StepView['hold'];
    expect(nextOpen([step('a', 'done'), step('h', 'waiting', { hold })], 'a')).toBe('h');
    expect(nextOpen([step('a', 'done'), step('w', 'waiting')], 'a')).toBeNull();
  });

  it('shows a calculation on the way once it has something to say, and goes on from it', () => {
    const ask: Ask = { kind: 'calculation', name: 'parking-window', title: '' };
    const sheet = {} as StepView['sheet'];
    const way = [step('a', 'done'), step('w', 'waiting', { ask, sheet }), step('b', 'open')];
    expect(following(way, 'a')).toBe('w');
    expect(following(way, 'w')).toBe('b');
    const silent = [step('a', 'done'), step('w', 'waiting', { ask }), step('b', 'open')];
    expect(following(silent, 'a')).toBe('b');
    expect(following([step('c', 'open'), step('a', 'done')], 'a')).toBe('c');
  });

  it('says where in the form a step stands', () => {
    expect(placeInForm(form, form[2]!)).toBe('Step 3 of 5, 1.c');
  });
});

describe('what is missing', () => {
  it('leaves out what may stay open, what is calculated and what is signed', () => {
    const all = [
      ...form,
      step('f', 'open', { ask: { kind: 'signature' } }),
      step('g', 'open', { ask: { kind: 'calculation', name: 'pressure-decay', title: '' } }),
    ];
    expect(missing(all).map((one) => one.id)).toEqual(['c', 'd']);
  });

  it('is named', () => {
    expect(missingSentence(form)).toBe('2 steps are open: 1.c Step c; 1.d Step d.');
    expect(missingSentence([step('c', 'open')])).toBe('One step is open: 1.c Step c.');
    expect(missingSentence([step('a', 'done')])).toBe('');
    expect(missingSentence(['a', 'b', 'c', 'd', 'e'].map((id) => step(id, 'open')))).toContain(
      'and 2 more.',
    );
  });

  it('has its own words for each state', () => {
    expect(stateWord(step('a', 'not_applicable'))).toBe('does not apply');
    expect(stateWord(step('a', 'open', { optional: true }))).toBe('open, may stay open');
  });
});

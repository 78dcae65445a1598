import { describe, expect, it } from 'vitest';
import type { DishView, Proof } from '../../generated/api';
import { countWords, inOrder } from './owes';
import { openRecord, recordOf } from './start';
import { meaning, rowOf } from './targets';

function proof(requirement: string, state: Proof['state'], verb: string | null = null): Proof {
  return {
    requirement, title: requirement, state, word: state, reason: '', verb,
    record: state === 'stands' ? `r-${requirement}` : null, checklist: `p-${requirement}`,
    criteria: 'dish-acceptance',
  };
}

const proofs = [
  proof('completion', 'stands'), proof('electrical', 'owed'), proof('drives', 'owed_waiting'),
  proof('stow', 'voided', 'Start'), proof('leak', 'undecided'), proof('grid', 'not_required'),
];

describe('the list of what a dish owes', () => {
  it('begins with what can be done, ends with what stands', () => {
    expect(inOrder(proofs).map((p) => p.requirement)).toEqual([
      'stow', 'leak', 'electrical', 'drives', 'completion', 'grid',
    ]);
  });
  it('counts only what is required', () => expect(countWords(proofs)).toBe('1 of 5 stand'));
});

describe('a target of the face', () => {
  const dish = {
    proofs, findings: [{ finding: 'f-1' }],
  } as unknown as DishView;
  it('leads to the record of a proof, or to its row when there is none', () => {
    expect(meaning('completion', dish)).toEqual({ kind: 'record', record: 'r-completion' });
    expect(meaning('leak', dish)).toEqual({ kind: 'row', row: rowOf('proof', 'leak') });
  });
  it('leads from the focus to the locks, from a tick to its finding', () => {
    expect(meaning('locks', dish)).toEqual({ kind: 'locks' });
    expect(meaning('f-1', dish)).toEqual({ kind: 'row', row: rowOf('finding', 'f-1') });
  });
  it('leads nowhere when it names nothing known', () => {
    expect(meaning('hold-8', dish)).toEqual({ kind: 'nothing' });
    expect(meaning('moon', dish)).toEqual({ kind: 'nothing' });
  });
});

describe('starting a proof', () => {
  it('finds the record in what the entry is about', () => {
    expect(recordOf({ done: 'entered', entry: 'ab12', subject: '0198' })).toBe('0198');
  });
  it('says what to do when the number is missing', () => {
    expect(() => recordOf({ done: 'draft', text: null })).toThrow(/did not come back/);
  });
  it('is refused with a sentence where the site adopted no checklist', async () => {
    const asked = openRecord('PC-04', { ...proof('leak', 'owed'), checklist: null });
    await expect(asked).rejects.toThrow(/adopted no checklist/);
  });
});

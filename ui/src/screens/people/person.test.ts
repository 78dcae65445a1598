import { describe, expect, it } from 'vitest';
import type { PersonView } from '../../generated/api';
import { may, roleWords, why } from './person';

const ivana: PersonView = {
  person: 'P-03', name: 'Ivana Brize', employer: 'Chercán Gas', has_pin: true, notes: [],
  roles: [{ role: 'gas', title: 'gas technician' }],
};

describe('a person of the list', () => {
  it('is shown with roles and employer', () => {
    expect(roleWords(ivana)).toBe('gas technician · Chercán Gas');
    expect(roleWords({ ...ivana, roles: [], employer: '' })).toBe('');
  });
  it('can act with a role and a PIN only, and it is said which is missing', () => {
    expect([may(ivana), why(ivana)]).toEqual([true, null]);
    const without = { ...ivana, has_pin: false };
    expect([may(without), why(without)]).toEqual([false, 'No PIN on this tablet yet']);
    expect(why({ ...ivana, roles: [] })).toBe('No role is held today');
  });
});

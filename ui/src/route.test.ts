import { describe, expect, it } from 'vitest';
import { ofTarget, read, write, type Route } from './route';

describe('route', () => {
  const known: [string, Route][] = [
    ['#/yard', { screen: 'yard' }],
    ['#/people', { screen: 'people' }],
    ['#/dish/PC-04', { screen: 'dish', position: 'PC-04' }],
    ['#/record/0198-a', { screen: 'record', record: '0198-a', step: null, form: false }],
    ['#/record/0198-a/step/p1', { screen: 'record', record: '0198-a', step: 'p1', form: false }],
    ['#/record/0198-a/form', { screen: 'record', record: '0198-a', step: null, form: true }],
    [
      '#/record/0198-a/calculation/loss',
      { screen: 'calculation_of', record: '0198-a', step: 'loss' },
    ],
    ['#/record/0198-a/weather', { screen: 'weather', record: '0198-a' }],
    ['#/alignment/0198-a/as-found', { screen: 'alignment', record: '0198-a', step: 'as-found' }],
    ['#/review/0198-a', { screen: 'review', record: '0198-a' }],
    ['#/report/PC-04', { screen: 'report', position: 'PC-04' }],
    ['#/locks', { screen: 'locks' }],
    ['#/ledger', { screen: 'ledger' }],
    ['#/exchange', { screen: 'exchange' }],
    ['#/calculations', { screen: 'calculations', name: null }],
    ['#/calculations/purge', { screen: 'calculations', name: 'purge' }],
  ];
  it.each(known)('%s is read and written the same', (hash, route) => {
    expect(read(hash)).toEqual(route);
    expect(write(route)).toBe(hash);
  });

  it('takes an empty address for the yard', () => {
    for (const hash of ['', '#', '#/']) expect(read(hash)).toEqual({ screen: 'yard' });
  });

  it.each([
    '#/nowhere', '#/yard/more', '#/dish', '#/dish/a/b', '#/record', '#/record/a/step',
    '#/record/a/step/b/c', '#/record/a/calculation', '#/record/a/weather/b', '#/alignment/a', '#/locks/x', '#/dish/%E0%A4%A',
  ])('%s leads nowhere, and says which address it was', (hash) => {
    expect(read(hash)).toEqual({ screen: 'lost', hash });
  });

  it('keeps slashes and signs of names apart from the address', () => {
    const route: Route = { screen: 'alignment', record: 'a', step: 'R09/F14 é' };
    expect(read(write(route))).toEqual(route);
  });

  it('leads a target of a list to its screen', () => {
    expect(ofTarget({ screen: 'signoff', position: 'PC-01' })).toBe('#/report/PC-01');
    expect(ofTarget({ screen: 'review', record: 'r' })).toBe('#/review/r');
    expect(ofTarget({ screen: 'record', record: 'r' })).toBe('#/record/r');
    expect(ofTarget({ screen: 'record', position: 'PC-01' })).toBe('#/dish/PC-01');
    expect(ofTarget({ screen: 'dish' })).toBe('#/yard');
  });
});

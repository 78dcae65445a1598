import { describe, expect, it } from 'vitest';
import { accounted, answered, ends } from './fileasks';

describe('what a file leaves open', () => {
  it('collects answers under the id of their question', () => {
    const zone = { id: 'zone', title: '', sentence: '', choices: [] };
    expect(answered({ decimal: 'comma' }, zone, '-04:00')).toEqual({
      decimal: 'comma',
      zone: '-04:00',
    });
    expect(answered({ zone: '-03:00' }, zone, '-04:00')).toEqual({ zone: '-04:00' });
  });

  it('accounts for every row', () => {
    expect(accounted(252, 252, 0)).toBe('252 of 252 rows used');
    expect(accounted(252, 240, 12)).toBe('240 of 252 rows used, 12 rejected');
  });

  it('shows both ends of a long file, and all of a short one once', () => {
    const first = [['1'], ['2'], ['3']];
    const last = [['8'], ['9'], ['10']];
    expect(ends(first, last, 10)).toEqual([['1'], ['2'], ['3'], ['…'], ['8'], ['9'], ['10']]);
    expect(ends(first, last, 6)).toHaveLength(6);
    expect(ends(first, first, 3)).toEqual(first);
    expect(ends([], [], 0)).toEqual([]);
  });
});

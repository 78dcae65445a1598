import { describe, expect, it } from 'vitest';
import { grouped } from './number';

// SI Brochure, 9th edition, 5.4.4: digits may be grouped in threes by a thin space; nothing else.
describe('grouped', () => {
  it.each([
    ['1595', '1\u2009595'],
    ['1234567.8901', '1\u2009234\u2009567.8901'],
    ['110,2', '110,2'],
    ['-12345', '-12\u2009345'],
    ['999', '999'],
    ['', ''],
    ['0.00012345', '0.00012345'],
    ['>550', '>550'],
  ])('%s becomes %s', (typed, shown) => {
    expect(grouped(typed)).toBe(shown);
    expect(shown.replaceAll('\u2009', '')).toBe(typed);
  });
  it('takes numbers too', () => expect(grouped(1163)).toBe('1\u2009163'));
});

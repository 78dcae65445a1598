import { describe, expect, it } from 'vitest';
import { LONGEST, missing, press } from './pin';

describe('a PIN', () => {
  it('takes digits and nothing else', () => {
    expect(press('12', '3')).toBe('123');
    for (const key of ['a', ' ', '.', '12', '']) expect(press('12', key)).toBe('12');
  });
  it('takes back and clears', () => {
    expect(press('12', 'Backspace')).toBe('1');
    expect(press('', 'erase')).toBe('');
    expect(press('12', 'clear')).toBe('');
  });
  it('may be longer than six, but not endless', () => {
    expect(press('123456', '7')).toBe('1234567');
    expect(press('1'.repeat(LONGEST), '7')).toHaveLength(LONGEST);
  });
  it.each([
    ['', 'Six digits'],
    ['1', 'Five more digits'],
    ['1234', 'Two more digits'],
    ['12345', 'One more digit'],
    ['123456', null],
    ['1234567', null],
  ])('after %j the button says %j', (pin, words) => expect(missing(pin)).toBe(words));
});

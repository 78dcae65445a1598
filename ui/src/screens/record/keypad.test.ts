import { describe, expect, it } from 'vitest';
import { Typing, fromKeyboard, press, type Key } from './keypad';

function typed(keys: readonly Key[], start = ''): string {
  return keys.reduce(press, start);
}

describe('press', () => {
  it('adds digits as typed, leading noughts included', () => {
    expect(typed(['0', '0', '7'])).toBe('007');
  });

  it('keeps the decimal sign that was typed', () => {
    expect(typed(['1', '1', '0', ',', '2'])).toBe('110,2');
    expect(typed(['1', '1', '0', '.', '0'])).toBe('110.0');
  });

  it('leaves a second decimal sign to the back end, which says what is wrong', () => {
    expect(typed(['1', '.', '2', ',', '3'])).toBe('1.2,3');
  });

  it('turns the sign at any moment, and back', () => {
    expect(typed(['4', '-'])).toBe('-4');
    expect(typed(['-', '4'])).toBe('-4');
    expect(typed(['-', '4', '-'])).toBe('4');
  });

  it('puts a bound in front of the sign', () => {
    expect(typed(['5', '>'])).toBe('>5');
    expect(typed(['-', '5', '<'])).toBe('<-5');
    expect(typed(['>', '5', '-'])).toBe('>-5');
    expect(typed(['>', '5', '<'])).toBe('<5');
    expect(typed(['>', '5', '>'])).toBe('5');
  });

  it('takes back one sign, then nothing more', () => {
    expect(typed(['1', '2', 'back'])).toBe('1');
    expect(typed(['back'])).toBe('');
    expect(typed(['1', '2', 'clear'])).toBe('');
  });

  it('stops at the longest text', () => {
    expect(typed(Array<Key>(60).fill('9'))).toHaveLength(24);
  });
});

describe('fromKeyboard', () => {
  it('knows digits, both decimal signs, minus in its three forms and Backspace', () => {
    expect(fromKeyboard('7')).toBe('7');
    expect(fromKeyboard(',')).toBe(',');
    expect(fromKeyboard('.')).toBe('.');
    expect(fromKeyboard('-')).toBe('-');
    expect(fromKeyboard('\u2212')).toBe('-');
    expect(fromKeyboard('Subtract')).toBe('-');
    expect(fromKeyboard('Backspace')).toBe('back');
  });

  it('leaves all else to the page', () => {
    for (const key of ['Enter', 'Tab', 'a', 'ArrowLeft', ' ', 'F5', 'constructor']) {
      expect(fromKeyboard(key)).toBeNull();
    }
  });
});

describe('Typing', () => {
  it('loses no key while an earlier one is still being kept', async () => {
    const kept: string[] = [];
    let release: (() => void) | undefined;
    const typing = new Typing('', async (text) => {
      if (kept.length === 0) await new Promise<void>((done) => (release = done));
      kept.push(text);
    });
    const first = typing.key('1');
    void typing.key('2');
    void typing.key('3');
    release?.();
    await first;
    expect(typing.wanted).toBe('123');
    expect(kept.at(-1)).toBe('123');
  });

  it('goes on after a failure, with what was typed', async () => {
    let failing = true;
    const kept: string[] = [];
    const typing = new Typing('', async (text) => {
      if (failing) throw new Error('store is closed');
      kept.push(text);
    });
    await expect(typing.key('4')).rejects.toThrow('store is closed');
    failing = false;
    await typing.key('2');
    expect(kept).toEqual(['42']);
  });
});

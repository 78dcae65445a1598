import { describe, expect, it } from 'vitest';
import { edit, Keeper, step } from './kept';

describe('edit', () => {
  it('puts text at the caret and over a selection', () => {
    expect(edit('ab', 1, 1, 'insertText', 'x')).toEqual({ text: 'axb', caret: 2 });
    expect(edit('abcd', 1, 3, 'insertFromPaste', 'xyz')).toEqual({ text: 'axyzd', caret: 4 });
  });
  it('takes one sign back, also one of two code units', () => {
    expect(edit('ab😀', 4, 4, 'deleteContentBackward', null)).toEqual({ text: 'ab', caret: 2 });
    expect(edit('ab', 0, 0, 'deleteContentBackward', null)).toEqual({ text: 'ab', caret: 0 });
    expect(edit('😀ab', 0, 0, 'deleteContentForward', null)).toEqual({ text: 'ab', caret: 0 });
    expect(edit('abcd', 1, 3, 'deleteContentForward', null)).toEqual({ text: 'ad', caret: 1 });
  });
  it('leaves to the field what it does not know', () => {
    expect(edit('ab', 1, 1, 'historyUndo', null)).toBeNull();
    expect(edit('ab', 1, 1, 'insertText', null)).toBeNull();
  });
});

describe('step', () => {
  it('moves by whole signs and stops at the ends', () => {
    expect(step('a😀b', 3, 'ArrowLeft')).toBe(1);
    expect(step('a😀b', 1, 'ArrowRight')).toBe(3);
    expect(step('ab', 0, 'ArrowLeft')).toBe(0);
    expect(step('ab', 2, 'ArrowRight')).toBe(2);
  });
  it('goes to the ends of its line', () => {
    expect(step('ab\ncd\nef', 4, 'Home')).toBe(3);
    expect(step('ab\ncd\nef', 4, 'End')).toBe(5);
    expect(step('ab', 1, 'Home')).toBe(0);
    expect(step('ab', 1, 'End')).toBe(2);
  });
  it('leaves other keys alone', () => expect(step('ab', 1, 'ArrowUp')).toBeNull());
});

describe('Keeper', () => {
  it('never sends an older text after a newer one, and always sends the last', async () => {
    const kept: string[] = [];
    let free: () => void = () => undefined;
    const keeper = new Keeper(async (text) => {
      kept.push(text);
      if (kept.length === 1) await new Promise<void>((done) => (free = done));
    });
    const first = keeper.send('1');
    void keeper.send('11');
    const last = keeper.send('110');
    free();
    await Promise.all([first, last]);
    expect(kept).toEqual(['1', '110']);
  });
  it('tells when keeping failed, and keeps the next text all the same', async () => {
    let broken = true;
    const kept: string[] = [];
    const keeper = new Keeper(async (text) => {
      if (broken) throw new Error('full');
      kept.push(text);
    });
    await expect(keeper.send('1')).rejects.toThrow('full');
    broken = false;
    await keeper.send('11');
    expect(kept).toEqual(['11']);
  });
});

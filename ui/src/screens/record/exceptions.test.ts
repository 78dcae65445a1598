import { describe, expect, it } from 'vitest';
import {
  EMPTY_TABLE,
  byName,
  choiceOf,
  countByChoice,
  readTableDraft,
  setRow,
  tableLacks,
} from './exceptions';

const rows = ['G1', 'G2', 'G14'];
const plain = { ...EMPTY_TABLE, others: 'none', count: '3' };

describe('a table by exception', () => {
  it('gives every row the state of all others until it has its own', () => {
    const marked = setRow(plain, 'G14', 'leak', 'ferrule');
    expect(choiceOf(marked, 'G1')).toBe('none');
    expect(choiceOf(marked, 'G14')).toBe('leak');
    expect([...countByChoice(marked, rows)]).toEqual([
      ['none', 2],
      ['leak', 1],
    ]);
  });

  it('makes a row plain again', () => {
    const marked = setRow(plain, 'G14', 'leak', '');
    expect(setRow(marked, 'G14', 'none', '').exceptions).toEqual([]);
  });

  it('keeps a note on a row that is like all others', () => {
    expect(setRow(plain, 'G2', 'none', 'new seal').exceptions).toEqual([
      { row: 'G2', choice: 'none', note: 'new seal' },
    ]);
  });

  it('orders rows as people count them', () => {
    const marked = setRow(setRow(plain, 'G14', 'leak', ''), 'G2', 'leak', '');
    expect(marked.exceptions.map((one) => one.row)).toEqual(['G2', 'G14']);
    expect(['G14', 'G2', 'G1'].sort(byName)).toEqual(['G1', 'G2', 'G14']);
  });

  it('survives a restart as it was typed', () => {
    const marked = setRow(plain, 'G14', 'leak', 'ferrule "A"');
    expect(readTableDraft(JSON.stringify(marked))).toEqual(marked);
    expect(readTableDraft('')).toEqual(EMPTY_TABLE);
    expect(readTableDraft('[1]')).toEqual(EMPTY_TABLE);
    expect(readTableDraft('{"exceptions":[3,{"row":"G1"}]}').exceptions).toEqual([
      { row: 'G1', choice: '', note: '' },
    ]);
  });

  it('says what is still missing', () => {
    expect(tableLacks(EMPTY_TABLE, rows)).toBe('Say how the others are');
    expect(tableLacks({ ...plain, count: '' }, rows)).toBe('Count them at the dish');
    expect(tableLacks(plain, rows)).toBe('');
  });
});

import { describe, expect, it } from 'vitest';
import type { FormField } from '../../generated/api';
import { fromBlock, namedPart, namedRows, numberedPart, numberedRows, fromJson, hasField, isFlat, linesOf,  same, pathText, tidied, toBlock, withoutEmptyRows, type Part } from './form';

const text = (name: string): FormField => ({
  name, label: name.replaceAll('_', ' '), help: '', kind: { kind: 'text', example: '' },
});
const state: FormField = {
  name: 'state', label: 'State', help: '',
  kind: { kind: 'choice', options: [{ value: 'not_measured', label: 'Not measured', help: '' }] },
};
const fields = [text('facet'), text('shift_x'), state];

describe('the input of a form', () => {
  it('leaves out what is empty, at every depth', () => {
    const typed = { gas: 'helium', volume: ' ', end: { barometer: '' }, list: [{ a: '' }, { a: '1' }] };
    expect(tidied(typed)).toEqual({ gas: 'helium', list: [{ a: '1' }] });
    expect(tidied({ a: { b: '' } })).toBeUndefined();
    // A text left empty between others is a missing value and keeps its place.
    expect(tidied({ values: ['1', '', ''] })).toEqual({ values: ['1', '', ''] });
    expect(linesOf('1\n\n3\n')).toEqual(['1', '', '3']);
    expect(withoutEmptyRows({ values: ['', ' '] })).toEqual({});
    // A list that was stated to be empty says so; one in which nothing is typed says nothing.
    expect(tidied({ list: [] })).toEqual({ list: [] });
    expect(tidied(withoutEmptyRows({ a: '1', list: [{ b: '' }] }))).toEqual({ a: '1' });
    expect(withoutEmptyRows(typed)).toEqual({ ...typed, list: [{ a: '1' }] });
  });

  it('is the same whatever the order of its fields, and without empty ones', () => {
    const one = { gas: 'helium', end: { a: '1', b: '2' }, list: [{ a: '1' }, { a: '2' }] };
    const other = { list: [{ a: '1' }, { a: '2' }], end: { b: '2', a: '1', c: ' ' }, gas: 'helium' };
    expect(same(one, other)).toBe(true);
    expect(same(one, { ...other, list: [{ a: '2' }, { a: '1' }] })).toBe(false);
    expect(same({}, { gas: '' })).toBe(true);
  });

  it('names places as the program does', () => {
    expect(pathText(['end', 'temperature'])).toBe('end.temperature');
    expect(pathText(['readings', 2, 'at'])).toBe('readings[2].at');
    const form: FormField[] = [{ ...text('readings'), kind: { kind: 'rows', fields, none: false } }];
    expect(hasField(form, 'readings[2].shift_x')).toBe(true);
    expect(hasField(form, 'readings[2]')).toBe(true);
    expect(hasField(form, 'readings[2].gas')).toBe(false);
    expect(hasField(form, 'R09/F14')).toBe(false);
    expect(hasField(form, '')).toBe(false);
  });

  it('reads JSON of texts and parts, and nothing else', () => {
    expect(fromJson('{"a":"1","b":{"c":[2,"x"]}}')).toEqual({ a: '1', b: { c: ['2', 'x'] } });
    for (const bad of ['', '[]', '"a"', '{"a":null}', '{"a":']) {
      expect(() => fromJson(bad), bad).toThrow(SyntaxError);
    }
  });
});

describe('yes and no', () => {
  const blocked: FormField = { ...text('blocked'), kind: { kind: 'yes_no' } };
  it('are kept as what they are, also in a block', () => {
    expect(tidied({ a: false, b: [{ c: true }] })).toEqual({ a: false, b: [{ c: true }] });
    expect(fromJson('{"a":true}')).toEqual({ a: true });
    expect(same({ a: true }, { a: false })).toBe(false);
    const rows: Part[] = [{ facet: '1', blocked: true }, { facet: '2', blocked: false }];
    expect(fromBlock([text('facet'), blocked], toBlock([text('facet'), blocked], rows))).toEqual({ rows });
  });
  it('are not guessed from another word', () => {
    expect(fromBlock([blocked], 'perhaps')).toEqual({ rows: [{ blocked: 'perhaps' }] });
  });
});

describe('parts under numbers', () => {
  it('are rows, a number that is left out being an empty one', () => {
    expect(numberedRows({ 1: { low: '0' }, 3: { low: '2' } })).toEqual([{ low: '0' }, {}, { low: '2' }]);
    expect(numberedPart([{ low: '0' }, { low: '1' }])).toEqual({ 1: { low: '0' }, 2: { low: '1' } });
    expect(numberedRows(undefined)).toEqual([]);
    const form: FormField[] = [{ ...text('cycles'), kind: { kind: 'numbered', fields: [text('low')] } }];
    expect(hasField(form, 'cycles.2.low')).toBe(true);
  });
});

describe('texts under names', () => {
  it('go to rows and back, and a name stands once', () => {
    const typed = { upper: '84.2 %', lower: '85.6 %' };
    expect(namedPart(namedRows(typed))).toEqual(typed);
    expect(namedRows(undefined)).toEqual([]);
    expect(namedPart([{ name: 'a', value: '1' }, { name: 'a', value: '2' }])).toMatchObject({ line: 2 });
    expect(namedPart([{ value: '1' }])).toMatchObject({ line: 1 });
    const form: FormField[] = [{ ...text('reflectance'), kind: { kind: 'named', example: '' } }];
    expect(hasField(form, 'reflectance.upper')).toBe(true);
  });
});

describe('a block of rows', () => {
  it('goes there and back', () => {
    const rows: Part[] = [{ facet: 'R01/F01', shift_x: '3.1 mm' }, { facet: 'R01/F02', state: 'not_measured' }];
    expect(fromBlock(fields, toBlock(fields, rows))).toEqual({ rows });
    expect(isFlat(fields)).toBe(true);
    expect(isFlat([{ ...text('p'), kind: { kind: 'rows', fields, none: false } }])).toBe(false);
  });

  it('takes parts of a row as columns of their own, and a list of texts as one cell', () => {
    const doubt: FormField = { ...text('doubt'), kind: { kind: 'group', fields: [text('value')] } };
    const spots: FormField = { ...text('spots'), kind: { kind: 'texts', example: '' } };
    const nested = [text('power'), doubt, spots];
    const rows: Part[] = [
      { power: '3 kW', doubt: { value: '20 W' }, spots: ['1 °C', '2 °C'] },
      { power: '4 kW' },
    ];
    const block = toBlock(nested, rows);
    expect(block.split('\n')[0]).toBe('power\tdoubt.value\tspots');
    expect(fromBlock(nested, block)).toEqual({ rows });
    expect(fromBlock(nested, 'Power;Doubt value\n3 kW;20 W')).toEqual({
      rows: [{ power: '3 kW', doubt: { value: '20 W' } }],
    });
  });

  it('takes columns in another order, semicolons, other line ends and words as shown', () => {
    const pasted = 'Shift x;facet;state\r\n3.1 mm;R01/F01;\r\n\r\n;R01/F02;Not measured\r\n';
    expect(fromBlock([fields[0]!, text('shift_x'), state], pasted)).toEqual({
      rows: [{ shift_x: '3.1 mm', facet: 'R01/F01' }, { facet: 'R01/F02', state: 'not_measured' }],
    });
  });

  it('takes a block without heads as the fields in their order', () => {
    expect(fromBlock(fields, 'R01/F01\t3.1 mm')).toEqual({
      rows: [{ facet: 'R01/F01', shift_x: '3.1 mm' }],
    });
  });

  it('refuses a line that does not fit, by its number', () => {
    const long = fromBlock(fields, 'facet\tshift_x\nR1\t2 mm\nR2\t3 mm\t4 mm');
    expect(long).toMatchObject({ line: 3 });
    expect(fromBlock(fields, 'facet\tfacet\nR1\tR2')).toMatchObject({ line: 1 });
    expect(fromBlock(fields, '')).toEqual({ rows: [] });
  });
});

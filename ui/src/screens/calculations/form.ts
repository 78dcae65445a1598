// What a form holds and how it becomes a calculation's input: only what was typed, nothing else.
import type { FormField } from '../../generated/api';

/** Texts, and yes or no, in parts and lists, as a calculation takes them. */
export type Typed = string | boolean | Typed[] | { [name: string]: Typed };
export type Part = { [name: string]: Typed };
/** Where a field stands: names, and numbers of rows. */
export type Path = (string | number)[];

/** A path as the program writes it: `readings[2].temperature`. */
export function pathText(path: Path): string {
  let text = '';
  for (const step of path) {
    if (typeof step === 'number') text += `[${step}]`;
    else text += text === '' ? step : `.${step}`;
  }
  return text;
}

/** The input without fields that are empty; undefined when nothing is left. */
export function tidied(typed: Typed): Typed | undefined {
  if (typeof typed === 'string') return typed.trim() === '' ? undefined : typed;
  if (typeof typed === 'boolean') return typed;
  if (Array.isArray(typed)) {
    // A list without rows was stated to have none; rows in which nothing is typed state nothing.
    if (typed.length === 0) return typed;
    if (areTexts(typed)) {
      const texts = kept(typed);
      return texts.length === 0 ? undefined : texts;
    }
    const list = typed.map(tidied).filter((one) => one !== undefined);
    return list.length === 0 ? undefined : list;
  }
  const part: Part = {};
  for (const [name, value] of Object.entries(typed)) {
    const left = tidied(value);
    if (left !== undefined) part[name] = left;
  }
  return Object.keys(part).length === 0 ? undefined : part;
}

/** Whether two inputs say the same, whatever the order of their fields. */
export function same(one: Typed, other: Typed): boolean {
  return inOrder(tidied(one)) === inOrder(tidied(other));
}

function inOrder(typed: Typed | undefined): string {
  const sorted = (_: string, value: unknown): unknown =>
    typeof value === 'object' && value !== null && !Array.isArray(value)
      ? Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)))
      : value;
  return JSON.stringify(typed, sorted) ?? '';
}

/** Drops rows in which nothing is typed, so that rows are counted as the program counts them. */
export function withoutEmptyRows(typed: Typed): Typed {
  if (typeof typed !== 'object') return typed;
  if (Array.isArray(typed)) {
    if (areTexts(typed)) return kept(typed);
    return typed.filter((row) => tidied(row) !== undefined).map(withoutEmptyRows);
  }
  const part: Part = {};
  for (const [name, value] of Object.entries(typed)) {
    const left = withoutEmptyRows(value);
    const emptied =
      Array.isArray(left) && left.length === 0 && Array.isArray(value) && value.length !== 0;
    if (!emptied) part[name] = left;
  }
  return part;
}

function areTexts(list: Typed[]): list is string[] {
  return list.every((one) => typeof one === 'string');
}

/** The same texts, none where all are empty. An empty one is a missing value and keeps its place. */
function kept(texts: string[]): string[] {
  return texts.every((one) => one.trim() === '') ? [] : texts;
}

/** The lines of a block; the end of the last line begins no other one. */
export function linesOf(text: string): string[] {
  const lines = text.split(/\r\n|\r|\n/).map((line) => line.trim());
  if (lines.at(-1) === '') lines.pop();
  return lines;
}

/** Reads JSON of texts, yes or no, parts and lists; numbers become texts, everything else is refused. */
export function fromJson(text: string): Part {
  const value: unknown = JSON.parse(text);
  const read = (one: unknown): Typed => {
    if (typeof one === 'string' || typeof one === 'boolean') return one;
    if (typeof one === 'number') return String(one);
    if (Array.isArray(one)) return one.map(read);
    if (typeof one === 'object' && one !== null) return readPart(one);
    throw new SyntaxError(`“${String(one)}” is neither a text nor a part of an input`);
  };
  const readPart = (one: object): Part =>
    Object.fromEntries(Object.entries(one).map(([name, inner]) => [name, read(inner)]));
  if (typeof value !== 'object' || value === null || Array.isArray(value)) {
    throw new SyntaxError('an input stands in braces: {"gas": "helium"}');
  }
  return readPart(value);
}

/** A column of a block: a field of a row, or of a part of it. */
export type Column = { name: string; label: string; path: string[]; field: FormField };

/** Parts the texts of a list that stands in one cell. */
const WITHIN = '|';

/** The columns of a list's rows; null where a row holds rows of its own and fits no line. */
export function columns(fields: FormField[], path: string[] = []): Column[] | null {
  const all: Column[] = [];
  for (const field of fields) {
    const here = [...path, field.name];
    if (field.kind.kind === 'rows' || field.kind.kind === 'numbered') return null;
    if (field.kind.kind === 'group') {
      const inner = columns(field.kind.fields, here);
      if (!inner) return null;
      all.push(...inner);
    } else {
      const label = path.length === 0 ? field.label : here.join(' ').replaceAll('_', ' ');
      all.push({ name: here.join('.'), label, path: here, field });
    }
  }
  return all;
}

/** Whether the rows of a list can be typed as a block: one line a row, one cell a column. */
export function isFlat(fields: FormField[]): boolean {
  return columns(fields) !== null;
}

/** What stands in a row's column, as a cell. */
export function cell(row: Typed, column: Column): string {
  let value: Typed | undefined = row;
  for (const name of column.path) {
    value = typeof value === 'object' && !Array.isArray(value) ? value[name] : undefined;
  }
  if (Array.isArray(value)) {
    return value.filter((one) => typeof one === 'string').join(` ${WITHIN} `);
  }
  if (typeof value === 'boolean') return value ? 'yes' : 'no';
  return typeof value === 'string' ? value : '';
}

/** Rows as a block of lines, with the names of the columns above. */
export function toBlock(fields: FormField[], rows: Typed[]): string {
  const all = columns(fields) ?? [];
  const lines = rows.map((row) => all.map((column) => cell(row, column)).join('\t'));
  return [all.map((column) => column.name).join('\t'), ...lines].join('\n');
}

/** Parts under the numbers 1, 2, 3 …, as rows; a number that is left out is an empty row. */
export function numberedRows(typed: Typed | undefined): Typed[] {
  if (typeof typed !== 'object' || Array.isArray(typed)) return [];
  const last = Math.max(0, ...Object.keys(typed).map(Number).filter(Number.isInteger));
  return Array.from({ length: last }, (_, index) => typed[String(index + 1)] ?? {});
}

/** Rows as parts under their numbers. */
export function numberedPart(rows: Typed[]): Part {
  return Object.fromEntries(rows.map((row, index) => [String(index + 1), row]));
}

export function copyOf(value: Typed): Typed {
  return JSON.parse(JSON.stringify(value)) as Typed;
}

/** A row to add: a copy of the last, or an empty one. */
export function copied(rows: Typed[], parts: boolean, copy: boolean): Typed {
  const last = rows.at(-1);
  if (copy && last !== undefined) return copyOf(last);
  return parts ? {} : '';
}

/** The columns of texts under names of one's own. */
export function namedFields(example: string): FormField[] {
  const help = example === '' ? '' : `Such as ${example}.`;
  return [
    { name: 'name', label: 'Name', help: '', kind: { kind: 'text', example: '' } },
    { name: 'value', label: 'Value', help, kind: { kind: 'text', example } },
  ];
}

/** Texts under names of one's own, as rows. */
export function namedRows(typed: Typed | undefined): Part[] {
  if (typeof typed !== 'object' || Array.isArray(typed)) return [];
  return Object.entries(typed).map(([name, value]) => ({ name, value }));
}

/** Rows as texts under names; says which row has no name of its own. */
export function namedPart(rows: Part[]): Part | { line: number; sentence: string } {
  const part: Part = {};
  for (const [index, row] of rows.entries()) {
    const name = typeof row['name'] === 'string' ? row['name'] : '';
    if (name === '') return { line: index + 1, sentence: 'It has no name.' };
    if (name in part) return { line: index + 1, sentence: `“${name}” stands above already.` };
    part[name] = row['value'] ?? '';
  }
  return part;
}

export type Block = { rows: Part[] } | { line: number; sentence: string };

/**
 * Reads a block pasted from a spreadsheet: cells parted by tabs, or by semicolons where there is no
 * tab. A first line that names fields says which column is which; without one the columns are the
 * fields in their order.
 */
export function fromBlock(fields: FormField[], text: string): Block {
  const sign = text.includes('\t') ? '\t' : ';';
  const lines = text.split(/\r\n|\r|\n/).map((line) => line.split(sign).map((c) => c.trim()));
  const all = columns(fields) ?? [];
  const column = (head: string): Column | undefined =>
    all.find((one) => [one.name, one.label.toLowerCase()].includes(head.toLowerCase()));
  let order = all;
  let rest = lines.map((cells, index) => ({ cells, line: index + 1 }));
  rest = rest.filter(({ cells }) => cells.some((one) => one !== ''));
  const head = rest[0];
  if (head && head.cells.filter((one) => one !== '').every((one) => column(one))) {
    const named = head.cells.map(column);
    order = named.filter((one) => one !== undefined);
    if (new Set(order).size < order.length) {
      return { line: head.line, sentence: 'A column is named twice.' };
    }
    rest = rest.slice(1);
  }
  const rows: Part[] = [];
  for (const { cells, line } of rest) {
    const filled = [...cells];
    while (filled.at(-1) === '') filled.pop();
    if (filled.length > order.length) {
      return {
        line,
        sentence: `It has ${filled.length} cells, and there are ${order.length} columns: ${order.map((f) => f.name).join(', ')}.`,
      };
    }
    const row: Part = {};
    filled.forEach((value, index) => {
      const into = order[index];
      if (into && value !== '') put(row, into, value);
    });
    rows.push(row);
  }
  return { rows };
}

/** Puts a cell where its column stands in a row. */
function put(row: Part, column: Column, value: string): void {
  let here = row;
  for (const name of column.path.slice(0, -1)) {
    const part = here[name];
    here = typeof part === 'object' && !Array.isArray(part) ? part : (here[name] = {});
  }
  const texts = value.split(WITHIN).map((one) => one.trim());
  here[column.field.name] =
    column.field.kind.kind === 'texts' ? texts.filter(Boolean) : word(column.field, value);
}

/** What a cell says of yes or no; a word that says neither stays, and the program refuses it. */
function yesOrNo(cell: string): string | boolean {
  const said = cell.toLowerCase();
  if (['yes', 'true', '1', 'x'].includes(said)) return true;
  return ['no', 'false', '0'].includes(said) ? false : cell;
}

/** The value of a choice that a cell names, in the program's word or in the one shown. */
function word(field: FormField, cell: string): string | boolean {
  if (field.kind.kind === 'yes_no') return yesOrNo(cell);
  if (field.kind.kind !== 'choice') return cell;
  const meant = cell.toLowerCase();
  const found = field.kind.options.find((o) => [o.value, o.label.toLowerCase()].includes(meant));
  return found?.value ?? cell;
}

/** The fields of a form by their path, rows written as `[]`: what a refusal may point at. */
export function hasField(fields: FormField[], path: string): boolean {
  const steps = path.split(/[.[\]]+/).filter((step) => step !== '');
  let here: FormField[] = fields;
  for (const [index, step] of steps.entries()) {
    if (/^\d+$/.test(step)) continue;
    const field = here.find((one) => one.name === step);
    if (!field) return false;
    // Below it stand names that were typed.
    if (index === steps.length - 1 || field.kind.kind === 'named') return true;
    here = 'fields' in field.kind ? field.kind.fields : [];
  }
  return steps.length > 0;
}

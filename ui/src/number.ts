// Numbers as they are shown: thousands parted by a thin space, digits never changed.

/** U+2009, which does not break a line in what we set. */
const THIN = '\u2009';

/**
 * Groups the whole part of a number in threes, from five digits on as from four: "1 595". Takes
 * the text as typed and leaves its decimal sign, its sign and everything after it alone.
 */
export function grouped(value: number | string): string {
  const text = String(value);
  const found = /^([+−-]?)(\d+)(.*)$/su.exec(text);
  if (!found) return text;
  const [, sign = '', whole = '', rest = ''] = found;
  return sign + whole.replace(/\B(?=(?:\d{3})+$)/gu, THIN) + rest;
}

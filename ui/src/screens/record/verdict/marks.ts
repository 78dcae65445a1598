// The mark and the word of each outcome. Not judged is an outcome of its own, not a failure.

export type Outcome = 'pass' | 'fail' | 'not_judged';

export function markOf(verdict: Outcome): 'within' | 'outside' | 'not_judged' {
  return verdict === 'pass' ? 'within' : verdict === 'fail' ? 'outside' : 'not_judged';
}

export function wordOf(verdict: Outcome): string {
  return verdict === 'pass' ? 'Within' : verdict === 'fail' ? 'Outside' : 'Not judged';
}

/** What is not plain comes first: outside, then not judged, then within. */
export function exceptionsFirst<T extends { verdict: Outcome }>(limits: readonly T[]): T[] {
  const rank: Record<Outcome, number> = { fail: 0, not_judged: 1, pass: 2 };
  return [...limits].sort((a, b) => rank[a.verdict] - rank[b.verdict]);
}

/** The sheets that judged come first, the last of them before the others; the rest only worked
 * something out on the way. Where none judged, all count the same. */
export function judgedFirst<T extends { mark: string }>(
  sheets: readonly T[],
): { judged: T[]; others: T[] } {
  const judged = sheets.filter((one) => one.mark !== 'computed').reverse();
  if (judged.length === 0) return { judged: [...sheets].reverse(), others: [] };
  return { judged, others: sheets.filter((one) => one.mark === 'computed') };
}

/** A word at the beginning of a sentence. */
export function capital(word: string): string {
  return word.charAt(0).toUpperCase() + word.slice(1);
}

const RAISED = '⁰¹²³⁴⁵⁶⁷⁸⁹';

/** "1.603e-3" as people write it: 1.603 × 10⁻³. All else stays as it is. */
export function asWritten(value: string): string {
  const found = /^([-\u2212]?[\d.,]+)[eE]([+-]?)0*(\d+)$/.exec(value);
  if (found === null) return minus(value);
  const [, number, sign, power = ''] = found;
  const raised = [...power].map((digit) => RAISED.charAt(Number(digit))).join('');
  return `${minus(number ?? '')} × 10${sign === '-' ? '⁻' : ''}${raised}`;
}

/** A negative number with the sign that people write, as wide as the plus. */
export function minus(value: string): string {
  return value.replace(/^-(?=\d)/, '\u2212');
}

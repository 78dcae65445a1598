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

/** A word at the beginning of a sentence. */
export function capital(word: string): string {
  return word.charAt(0).toUpperCase() + word.slice(1);
}

const RAISED = '⁰¹²³⁴⁵⁶⁷⁸⁹';

/** "1.603e-3" as people write it: 1.603 × 10⁻³. All else stays as it is. */
export function asWritten(value: string): string {
  const found = /^([-\u2212]?[\d.,]+)[eE]([+-]?)0*(\d+)$/.exec(value);
  if (found === null) return value;
  const [, number, sign, power = ''] = found;
  const raised = [...power].map((digit) => RAISED.charAt(Number(digit))).join('');
  return `${number} × 10${sign === '-' ? '⁻' : ''}${raised}`;
}

import { describe, expect, it } from 'vitest';
import { exceptionsFirst, markOf, wordOf } from './marks';

describe('outcomes', () => {
  it('have three marks and three words, none standing for another', () => {
    const all = ['pass', 'fail', 'not_judged'] as const;
    expect(new Set(all.map(markOf)).size).toBe(3);
    expect(all.map(wordOf)).toEqual(['Within', 'Outside', 'Not judged']);
  });

  it('are listed with the exceptions first, in the order given within each', () => {
    const limits = [
      { title: 'a', verdict: 'pass' as const },
      { title: 'b', verdict: 'not_judged' as const },
      { title: 'c', verdict: 'fail' as const },
      { title: 'd', verdict: 'not_judged' as const },
    ];
    expect(exceptionsFirst(limits).map((one) => one.title)).toEqual(['c', 'b', 'd', 'a']);
  });
});

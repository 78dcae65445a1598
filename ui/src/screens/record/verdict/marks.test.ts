import { describe, expect, it } from 'vitest';
import { asWritten, capital, exceptionsFirst, judgedFirst, markOf, wordOf } from './marks';

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

  it('show the sheets that judged, the last first, and fold what was only worked out', () => {
    const sheets = ['computed', 'within', 'computed', 'not_judged'].map((mark, i) => ({ mark, i }));
    const order = judgedFirst(sheets);
    expect(order.judged.map((one) => one.i)).toEqual([3, 1]);
    expect(order.others.map((one) => one.i)).toEqual([0, 2]);
    const none = judgedFirst(sheets.filter((one) => one.mark === 'computed'));
    expect([none.judged.map((one) => one.i), none.others]).toEqual([[2, 0], []]);
  });
});

describe('words and numbers', () => {
  it('are written as people write them', () => {
    expect(asWritten('1.603e-3')).toBe('1.603 × 10⁻³');
    expect(asWritten('-3.7E+12')).toBe('\u22123.7 × 10¹²');
    expect(asWritten('2e-08')).toBe('2 × 10⁻⁸');
    for (const plain of ['0.76', 'helium', '1.0e', '']) expect(asWritten(plain)).toBe(plain);
    expect(capital('accepted')).toBe('Accepted');
    expect(capital('')).toBe('');
  });
});

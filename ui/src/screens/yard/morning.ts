// The sentence over the morning list.

const NUMBERS = ['Nothing', 'One', 'Two', 'Three', 'Four', 'Five', 'Six', 'Seven', 'Eight', 'Nine'];

function count(n: number): string {
  return NUMBERS[n] ?? String(n);
}

/** "Five need somebody. Two can be signed." */
export function summary(list: { ready: boolean }[]): string {
  const ready = list.filter((item) => item.ready).length;
  const open = list.length - ready;
  const sentences: string[] = [];
  if (open === 0) sentences.push('Nothing is waiting for somebody, as known here.');
  else sentences.push(`${count(open)} ${open === 1 ? 'needs' : 'need'} somebody.`);
  if (ready > 0) sentences.push(`${count(ready)} can be signed.`);
  return sentences.join(' ');
}

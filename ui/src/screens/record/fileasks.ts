// What a file does not say and a person must: questions with their answers, file by file.
import type { FileQuestion } from '../../generated/api';

/** Answers so far, with one more. Zone and interval label travel in fields of their own. */
export function answered(
  answers: Readonly<Record<string, string>>,
  question: FileQuestion,
  choice: string,
): Record<string, string> {
  return { ...answers, [question.id]: choice };
}

/** "240 of 252 rows used, 12 rejected": every row accounted for. */
export function accounted(rows: number, used: number, rejected: number): string {
  const parts = [`${used} of ${rows} rows used`];
  if (rejected > 0) parts.push(`${rejected} rejected`);
  return parts.join(', ');
}

/** The first and the last rows as one table, with a row of dots where some are left out. */
export function ends(
  first: readonly string[][],
  last: readonly string[][],
  used: number,
): string[][] {
  const shown = first.length + last.length;
  if (used <= first.length) return [...first];
  const width = first[0]?.length ?? last[0]?.length ?? 1;
  const gap = used > shown ? [Array.from({ length: width }, () => '…')] : [];
  return [...first, ...gap, ...last];
}

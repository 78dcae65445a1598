// Starting a proof: opens a record of the adopted checklist on this dish.
import type { Proof } from '../../generated/api';
import { call, Trouble, type Answer } from '../../transport';

/** Opens a record and gives its id. */
export async function openRecord(position: string, proof: Proof): Promise<string> {
  if (!proof.checklist || !proof.criteria) {
    throw new Trouble(
      'screen.no_checklist',
      `This site has adopted no checklist for ${proof.title}.`,
      'The supervisor adopts one first.',
    );
  }
  const answer = await call('act', {
    do: 'open_record',
    position,
    checklist: proof.checklist,
    criteria: proof.criteria,
  });
  return recordOf(answer);
}

/** The record's id: what the entry is about. */
export function recordOf(answer: Answer<'act'>): string {
  if (answer.done === 'entered' && answer.subject !== '') return answer.subject;
  throw new Trouble(
    'screen.no_record',
    'The record was opened, but its number did not come back.',
    'Go to the dish again; the record is there.',
  );
}

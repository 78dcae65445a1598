// Starting a proof: opens a record of the adopted checklist on this dish.
import type { Proof } from '../../generated/api';
import { call, Trouble } from '../../transport';

/** The criteria that the shipped checklists name. */
const CRITERIA = 'dish-acceptance';

/** Opens a record and gives its id. */
export async function openRecord(position: string, proof: Proof): Promise<string> {
  if (!proof.checklist) {
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
    criteria: CRITERIA,
  });
  return recordOf(answer);
}

/** The record's id in the answer to an act. */
export function recordOf(answer: unknown): string {
  const found = find(answer, 'subject');
  if (found !== null) return found;
  throw new Trouble(
    'screen.no_record',
    'The record was opened, but its number did not come back.',
    'Go to the dish again; the record is there.',
  );
}

function find(value: unknown, name: string): string | null {
  if (value === null || typeof value !== 'object') return null;
  for (const [key, inner] of Object.entries(value)) {
    if (key === name && typeof inner === 'string') return inner;
    const deeper = find(inner, name);
    if (deeper !== null) return deeper;
  }
  return null;
}

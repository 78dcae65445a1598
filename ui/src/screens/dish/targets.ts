// What a target of the face stands for on the screen of its dish.
import type { DishView } from '../../generated/api';

export type Meaning =
  | { kind: 'locks' }
  | { kind: 'record'; record: string }
  | { kind: 'row'; row: string }
  | { kind: 'nothing' };

/** The id of the row that tells about a proof or a finding, for the page. */
export function rowOf(kind: 'proof' | 'finding', id: string): string {
  return `${kind}-${id}`;
}

/** After which proof of the ring each hold point stands, counted from 0. */
const HOLD_AFTER = [0, 1, 3, 6, 8, 9, 10, 12];

/**
 * Reads a target's id: the focus, a requirement, or a finding, with or without its kind before.
 * A hold leads to the proof that it waits for.
 */
export function meaning(id: string, dish: DishView): Meaning {
  const name = id.replace(/^(?:proof|sector|finding|focus)[/:-]/, '');
  if (id === 'locks' || id === 'focus' || name === 'locks') return { kind: 'locks' };
  const hold = /^hold-(\d+)$/.exec(id)?.[1];
  if (hold !== undefined) {
    const after = dish.proofs[HOLD_AFTER[Number(hold) - 1] ?? -1];
    return after ? { kind: 'row', row: rowOf('proof', after.requirement) } : { kind: 'nothing' };
  }
  const proof = dish.proofs.find((p) => p.requirement === name);
  if (proof?.record) return { kind: 'record', record: proof.record };
  if (proof) return { kind: 'row', row: rowOf('proof', proof.requirement) };
  const finding = dish.findings.find((f) => f.finding === name);
  if (finding) return { kind: 'row', row: rowOf('finding', finding.finding) };
  return { kind: 'nothing' };
}

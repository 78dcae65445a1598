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

/** Reads a target's id: the focus, a requirement, or a finding. */
export function meaning(id: string, dish: DishView): Meaning {
  if (id === 'locks') return { kind: 'locks' };
  const proof = dish.proofs.find((p) => p.requirement === id);
  if (proof?.record) return { kind: 'record', record: proof.record };
  if (proof) return { kind: 'row', row: rowOf('proof', proof.requirement) };
  const finding = dish.findings.find((f) => f.finding === id);
  if (finding) return { kind: 'row', row: rowOf('finding', finding.finding) };
  return { kind: 'nothing' };
}

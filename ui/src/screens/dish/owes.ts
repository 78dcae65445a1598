// The order of the list of proofs on a dish: what can be done now, what is owed, what stands.
import type { Proof, ProofState } from '../../generated/api';

const RANK: Record<ProofState, number> = {
  undecided: 0,
  voided: 1,
  lapsed: 1,
  under_review: 1,
  owed: 2,
  owed_waiting: 3,
  stands: 4,
  not_required: 5,
};

/** Exceptions first; within a rank the order of the dish's life stays. What stands comes last. */
export function inOrder(proofs: Proof[]): Proof[] {
  const startable = (p: Proof): number => (p.verb ? 0 : 1);
  return proofs
    .map((proof, i) => ({ proof, i }))
    .sort(
      (a, b) =>
        Number(stands(a.proof)) - Number(stands(b.proof)) ||
        startable(a.proof) - startable(b.proof) ||
        RANK[a.proof.state] - RANK[b.proof.state] ||
        a.i - b.i,
    )
    .map(({ proof }) => proof);
}

/** True for what asks nothing of anybody now. */
export function stands(proof: Proof): boolean {
  return proof.state === 'stands' || proof.state === 'not_required';
}

/** "3 of 13 stand" */
export function countWords(proofs: Proof[]): string {
  const required = proofs.filter((p) => p.state !== 'not_required').length;
  const standing = proofs.filter((p) => p.state === 'stands').length;
  return `${standing} of ${required} stand`;
}

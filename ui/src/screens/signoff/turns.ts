// Whose turn it is to sign, and what is counted.
import type { ReportView } from '../../generated/api';

export type ReportFile = ReportView['files'][number];
export type Field = ReportFile['fields'][number];

/** The latest report, which is the one that can be signed; none before the first is issued. */
export function latest(view: ReportView): ReportFile | null {
  return view.files[0] ?? null;
}

/** The field that the acting person may sign, else the first that is still empty. */
export function nextField(file: ReportFile): Field | null {
  const empty = file.fields.filter((one) => one.signed_by === null);
  return empty.find((one) => one.may_sign) ?? empty[0] ?? null;
}

/** "2 of 3 signed": never a word about what signing makes of the dish. */
export function signedCount(file: ReportFile): string {
  const signed = file.fields.filter((one) => one.signed_by !== null).length;
  return `${signed} of ${file.fields.length} signed`;
}

/** "12 of 13 proofs stand" */
export function standCount(view: ReportView): string {
  const required = view.proofs.filter((one) => one.state !== 'not_required');
  const stand = required.filter((one) => one.state === 'stands').length;
  return `${stand} of ${required.length} proofs stand`;
}

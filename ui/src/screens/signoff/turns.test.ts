import { describe, expect, it } from 'vitest';
import type { ReportView } from '../../generated/api';
import { latest, nextField, signedCount, standCount, type Field, type ReportFile } from './turns';

function field(name: string, signed: string | null, may = false): Field {
  return { name, title: name, role: name, signed_by: signed, at: null, may_sign: may, why_not: '' };
}
function file(...fields: Field[]): ReportFile {
  return { report: 'r', file_name: 'PC-04.pdf', issued: { iso: '', day: '', clock: '' }, fields };
}

describe('signing in turn', () => {
  it('offers the field that the person acting may sign, else the first empty one', () => {
    expect(nextField(file(field('lead', null), field('supervisor', null, true)))?.name).toBe(
      'supervisor',
    );
    expect(nextField(file(field('lead', 'X'), field('supervisor', null)))?.name).toBe('supervisor');
    expect(nextField(file(field('lead', 'X')))).toBeNull();
  });

  it('counts, and promises nothing', () => {
    expect(signedCount(file(field('a', 'X'), field('b', null), field('c', null)))).toBe(
      '1 of 3 signed',
    );
    const view = {
      proofs: ['stands', 'owed', 'not_required'].map((state) => ({ state })),
      files: [],
    } as unknown as ReportView;
    expect(standCount(view)).toBe('1 of 2 proofs stand');
    expect(latest(view)).toBeNull();
  });
});

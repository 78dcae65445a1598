import { describe, expect, it } from 'vitest';
import type { PersonView } from '../../generated/api';
import { described, helping, others, readHelpers } from './start';

const person = (id: string, ...titles: string[]): PersonView => ({
  person: id,
  name: `Name of ${id}`,
  employer: '',
  roles: titles.map((title) => ({ role: title, title })),
  has_pin: false,
  notes: [],
});

describe('who helps', () => {
  it('is nobody where nothing that can be read was kept', () => {
    for (const text of ['', '{', '{"a":1}', 'null']) expect(readHelpers(text)).toEqual([]);
    expect(readHelpers('["P-09", 3]')).toEqual(['P-09']);
  });

  it('is never the one who acts, also where the tablet changed hands after the choice', () => {
    expect(helping(['P-09', 'P-03'], 'P-03')).toEqual(['P-09']);
  });

  it('is chosen from all others, whatever their role', () => {
    const crew = [person('P-03', 'gas technician'), person('P-09', 'trainee'), person('P-11')];
    expect(others(crew, [], 'P-03').map((one) => one.person)).toEqual(['P-09', 'P-11']);
    expect(others(crew, ['P-09'], 'P-03').map((one) => one.person)).toEqual(['P-11']);
    expect(crew.map(described)).toEqual([
      'Name of P-03, gas technician',
      'Name of P-09, trainee',
      'Name of P-11',
    ]);
  });
});

import { describe, expect, it } from 'vitest';
import { instant, readWitness, witnessLacks } from './witness';

describe('a witness point', () => {
  it('asks for whatever the invitation lacks, one thing at a time', () => {
    const nothing = { invited: '', at: '', evidence: '' };
    expect(witnessLacks('', nothing)).toBe('Choose what came of it');
    expect(witnessLacks('present', nothing)).toBeNull();
    expect(witnessLacks('open', nothing)).toBe('The step stays open');
    expect(witnessLacks('absent', nothing)).toBe('Say who was invited');
    expect(witnessLacks('absent', { ...nothing, invited: 'D. Arrate' })).toBe(
      'Say when, year first',
    );
    const full = { invited: 'D. Arrate', at: '2026-08-25 09:00', evidence: '' };
    expect(witnessLacks('absent', full)).toBe('Say how it can be shown');
    expect(witnessLacks('absent', { ...full, evidence: 'mail 41' })).toBeNull();
  });

  it('comes back after a restart', () => {
    expect(readWitness('{"outcome":"absent"}').outcome).toBe('absent');
    expect(readWitness('{"outcome":"signed"}').outcome).toBe('');
    expect(readWitness('null').outcome).toBe('');
    expect(readWitness('x').outcome).toBe('');
  });
});

describe('instant', () => {
  it('takes a local time, year first', () => {
    expect(instant('2026-08-27 16:30', '-04:00')).toBe('2026-08-27T16:30:00-04:00');
    expect(instant(' 2026-08-27T6:05 ', '-03:00')).toBe('2026-08-27T06:05:00-03:00');
  });

  it('refuses what is no day or no time', () => {
    for (const text of [
      '27/08/2026 16:30',
      '2026-02-30 10:00',
      '2026-08-27 25:00',
      '2026-08-27',
      '',
    ]) {
      expect(instant(text, '-04:00')).toBeNull();
    }
  });
});

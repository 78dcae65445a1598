import { describe, expect, it } from 'vitest';
import type { WeatherLimit } from '../../../generated/api';
import { before, lacks, lastNoted, observations } from './weather';

const seen = (typed: string, instrument = '') => ({ quantity: 'wind-gust', typed, instrument });

function limit(...texts: [string, string][]): WeatherLimit {
  const at = { iso: '', day: 'Fri 11 Sep', clock: '08:04' };
  const observed = texts.map(([text, instrument]) => ({ text, instrument, by: 'I. Brize', at }));
  return { quantity: 'wind-gust', title: '', limit: '10 m/s', action: '', observed };
}

describe('the weather as typed', () => {
  it('is sent as it stands, whatever the limit, and not where nothing was typed', () => {
    expect(observations([seen(' 31 m/s '), seen(' '), seen('none seen', 'AN-01')])).toEqual([
      { quantity: 'wind-gust', typed: '31 m/s' },
      { quantity: 'wind-gust', typed: 'none seen', instrument: 'AN-01' },
    ]);
  });

  it('waits until something is typed, and until every instrument has its reading', () => {
    expect(lacks([seen(' '), seen('')])).toBe('Type what was seen');
    expect(lacks([seen('7 m/s'), seen('', 'AN-01')])).toBe('Say what the instrument showed');
    expect(lacks([seen('7 m/s', 'AN-01'), seen('')])).toBeNull();
  });
});

describe('the weather as noted', () => {
  it('is the last one, with instrument, time and person', () => {
    expect(lastNoted(limit())).toBe('');
    expect(lastNoted(limit(['6 m/s', ''], ['7,3 m/s', 'AN-01']))).toBe(
      '7,3 m/s with AN-01, Fri 11 Sep 08:04, I. Brize',
    );
    expect(lastNoted(limit(['6 m/s', '']))).toBe('6 m/s, Fri 11 Sep 08:04, I. Brize');
  });

  it('counts what was noted before', () => {
    const one: [string, string] = ['6 m/s', ''];
    expect([limit(), limit(one), limit(one, one), limit(one, one, one)].map(before)).toEqual([
      '', '', 'Noted once before.', 'Noted 2 times before.',
    ]);
  });
});

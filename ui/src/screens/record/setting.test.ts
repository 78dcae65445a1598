import { describe, expect, it } from 'vitest';
import type { GivenView, InstrumentChoice, StepView } from '../../generated/api';
import { offered, readSetting, usual } from './setting';

function gauge(instrument: string, unit: string, overdue = false): InstrumentChoice {
  return { instrument, description: 'digital gauge', unit, calibration: '', overdue };
}

type ReadingAsk = Extract<StepView['ask'], { kind: 'reading' }>;

const ask: ReadingAsk = {
  kind: 'reading',
  quantity: 'gauge_pressure',
  unit: 'bar(g)',
  units: ['bar(g)', 'psi(g)'],
  instrument_role: 'gauge',
  instruments: [gauge('PG-03', 'bar(g)'), gauge('PG-H1', 'psi(g)'), gauge('PG-07', 'bar(g)', true)],
};

function read(with_: string): StepView {
  const given = [{ instrument: with_ } as GivenView];
  return { ask, given } as unknown as StepView;
}

describe('what a reading begins with', () => {
  it('is the instrument that the record used before, in its own unit', () => {
    expect(usual(ask, [read('PG-03'), read('PG-H1')])).toEqual({
      instrument: 'PG-H1',
      unit: 'psi(g)',
    });
  });

  it('is nothing chosen where two are in date', () => {
    expect(usual(ask, [])).toEqual({ instrument: '', unit: 'bar(g)' });
  });

  it('is the only one in date, never an overdue one unasked', () => {
    expect(usual({ ...ask, instruments: ask.instruments.slice(1) }, []).instrument).toBe('PG-H1');
    expect(usual({ ...ask, instruments: ask.instruments.slice(2) }, []).instrument).toBe('');
  });

  it('asks for no instrument where the step asks for none', () => {
    expect(usual({ ...ask, instrument_role: null }, [read('PG-03')]).instrument).toBe('');
  });

  it('keeps the step unit where the instrument shows one that the step does not take', () => {
    expect(usual({ ...ask, instruments: [gauge('PG-9', 'inHg')] }, []).unit).toBe('bar(g)');
  });

  it('comes back after a restart', () => {
    const start = { unit: 'bar(g)', instrument: '' };
    expect(readSetting('{"unit":"psi(g)","instrument":"PG-H1"}', ask, start)).toEqual({
      unit: 'psi(g)',
      instrument: 'PG-H1',
    });
    expect(readSetting('{"unit":"furlong","instrument":"X"}', ask, start)).toEqual(start);
    expect(readSetting('null', ask, start)).toEqual(start);
    expect(readSetting('{', ask, start)).toEqual(start);
  });
});

describe('the units offered at once', () => {
  const many = ['bar(g)', 'Pa(g)', 'mbar(g)', 'hPa(g)', 'kPa(g)', 'MPa(g)', 'psi(g)', 'inHg(g)'];

  it('are the few that a site uses, the own one first', () => {
    expect(offered({ ...ask, units: many }, 'bar(g)', '')).toEqual([
      'bar(g)',
      'psi(g)',
      'kPa(g)',
      'MPa(g)',
    ]);
  });

  it('always hold the chosen one and the one that the instrument shows', () => {
    const few = offered({ ...ask, units: many }, 'inHg(g)', 'hPa(g)');
    expect(few).toEqual(['bar(g)', 'hPa(g)', 'inHg(g)', 'psi(g)']);
  });

  it('are all where there are not many', () => {
    expect(offered(ask, 'bar(g)', '')).toEqual(ask.units);
  });
});

import { describe, expect, it } from 'vitest';
import type { InstrumentChoice, SeriesFile, SeriesPreview } from '../../generated/api';
import { afterAnswer, seriesLacks, uniqueInstruments, withFile } from './seriesfiles';

const sensor = { instrument: 'PY-01', overdue: false } as InstrumentChoice;
const meter = { instrument: 'PM-02', overdue: true } as InstrumentChoice;
const file: SeriesFile = {
  name: 'mast.csv',
  base64: 'YQ==',
  instrument: 'PY-01',
  zone: null,
  label: null,
};
const read = (question: object | null): SeriesPreview =>
  ({
    files: [{ name: 'mast.csv', question }],
    pictures: [],
    warnings: [],
  }) as unknown as SeriesPreview;

describe('files of a series', () => {
  it('offer each instrument once, those in date first', () => {
    const all = uniqueInstruments([{ instruments: [meter, sensor] }, { instruments: [sensor] }]);
    expect(all.map((one) => one.instrument)).toEqual(['PY-01', 'PM-02']);
  });

  it('are written by the only instrument there is, else that is asked', () => {
    expect(withFile([], 'a.csv', '', [sensor])[0]?.instrument).toBe('PY-01');
    expect(withFile([], 'a.csv', '', [sensor, meter])[0]?.instrument).toBe('');
  });

  it('keep what was said of a file when it is chosen again', () => {
    const [again] = withFile([{ ...file, zone: '-04:00' }], 'mast.csv', 'Yg==', []);
    expect(again).toMatchObject({ base64: 'Yg==', zone: '-04:00', instrument: 'PY-01' });
  });

  it('take answers into the field that they belong to', () => {
    const ask = (id: string) => ({ id, title: '', sentence: '', choices: [] });
    expect(afterAnswer(file, ask('zone'), '-04:00').zone).toBe('-04:00');
    expect(afterAnswer(file, ask('label'), 'end').label).toBe('end');
    expect(afterAnswer(file, ask('decimal'), 'comma')).toMatchObject({
      answers: { decimal: 'comma' },
    });
    expect(afterAnswer(file, null, 'x')).toBe(file);
  });

  it('say what is missing, one thing at a time', () => {
    expect(seriesLacks([], null)).toBe('Choose the files');
    expect(seriesLacks([{ ...file, instrument: '' }], null)).toBe(
      'Say which instrument wrote mast.csv',
    );
    expect(seriesLacks([file], null)).toBe('Reading the files');
    expect(seriesLacks([file], read({}))).toBe('Answer what mast.csv does not say');
    expect(seriesLacks([file], read(null))).toBeNull();
  });
});

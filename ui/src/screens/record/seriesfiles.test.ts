import { describe, expect, it } from 'vitest';
import type { Channel, InstrumentChoice, LoggerFile, SeriesPreview } from '../../generated/api';
import { afterAnswer, found, instrumentOf, seriesLacks, signed, withFile } from './seriesfiles';

const sensor = { instrument: 'PY-01', overdue: false } as InstrumentChoice;
const other = { instrument: 'PY-02', overdue: false } as InstrumentChoice;
const overdue = { instrument: 'PY-03', overdue: true } as InstrumentChoice;
const channel = (id: string, ...instruments: InstrumentChoice[]): Channel => ({
  id,
  title: id,
  unit: '',
  instruments,
});
const file: LoggerFile = { name: 'mast.csv', file: { base64: 'YQ==' }, instrument: '' };
const read = (question: object | null, ...channels: string[]): SeriesPreview =>
  ({
    files: [{ name: 'mast.csv', question, channels }],
    pictures: [],
    warnings: [],
  }) as unknown as SeriesPreview;

describe('files of a series', () => {
  it('keep what was said of a file when it is chosen again', () => {
    const [again] = withFile([{ ...file, zone: '-04:00' }], 'mast.csv', 'Yg==');
    expect(again).toMatchObject({ file: { base64: 'Yg==' }, zone: '-04:00' });
    expect(withFile([file], 'meter.csv', '')).toHaveLength(2);
  });

  it('take answers into the field that they belong to', () => {
    const ask = (id: string) => ({ id, title: '', sentence: '', choices: [] });
    expect(afterAnswer(file, ask('zone'), '-04:00').zone).toBe('-04:00');
    expect(afterAnswer(file, ask('label'), 'end').label).toBe('end');
    const two = afterAnswer(afterAnswer(file, ask('decimal'), 'comma'), ask('dates'), 'dmy');
    expect(two.answers).toEqual({ decimal: 'comma', dates: 'dmy' });
    expect(afterAnswer(file, null, 'x')).toBe(file);
  });

  it('take the only instrument in date for a channel, else ask', () => {
    expect(instrumentOf(channel('wind', sensor, overdue), {})).toBe('PY-01');
    expect(instrumentOf(channel('wind', sensor, other), {})).toBe('');
    expect(instrumentOf(channel('wind', overdue), {})).toBe('');
    expect(instrumentOf(channel('wind', sensor), { wind: 'PY-03' })).toBe('PY-03');
  });

  it('are sent with the instrument of their first channel', () => {
    const preview = read(null, 'wind', 'power');
    expect(signed([file], preview, { wind: 'PY-01', power: 'PM-01' })[0]?.instrument).toBe('PY-01');
  });

  it('show the channels that they have', () => {
    const all = [channel('wind', sensor), channel('power', sensor)];
    expect(found(all, read(null, 'power')).map((one) => one.id)).toEqual(['power']);
    expect(found(all, null)).toEqual([]);
  });

  it('say what is missing, one thing at a time', () => {
    const wind = [channel('wind', sensor, other)];
    expect(seriesLacks([], null, wind, {})).toBe('Choose the files');
    expect(seriesLacks([file], null, wind, {})).toBe('Reading the files');
    expect(seriesLacks([file], read({}), wind, {})).toBe('Answer what mast.csv does not say');
    expect(seriesLacks([file], read(null), wind, {})).toBe('No file has the wind');
    expect(seriesLacks([file], read(null, 'wind'), wind, {})).toBe('Say what measured the wind');
    expect(seriesLacks([file], read(null, 'wind'), wind, { wind: 'PY-01' })).toBeNull();
  });
});

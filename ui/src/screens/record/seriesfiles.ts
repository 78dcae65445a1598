// The files of a series step before they are entered: which instrument, which zone, which label.
import type { InstrumentChoice, SeriesFile, SeriesPreview } from '../../generated/api';
import type { Question } from './fileasks';

/** The instruments of all channels, each once; those in date first. */
export function uniqueInstruments(
  channels: readonly { instruments: InstrumentChoice[] }[],
): InstrumentChoice[] {
  const found = new Map<string, InstrumentChoice>();
  for (const channel of channels) {
    for (const one of channel.instruments) found.set(one.instrument, one);
  }
  return [...found.values()].sort((a, b) => Number(a.overdue) - Number(b.overdue));
}

/** Adds a file; one of the same name takes the place of the earlier. Only one instrument: it wrote it. */
export function withFile(
  files: readonly SeriesFile[],
  name: string,
  base64: string,
  instruments: readonly InstrumentChoice[],
): SeriesFile[] {
  const only = instruments.length === 1 ? (instruments[0]?.instrument ?? '') : '';
  const old = files.find((one) => one.name === name);
  const fresh: SeriesFile = old
    ? { ...old, base64 }
    : { name, base64, instrument: only, zone: null, label: null };
  return [...files.filter((one) => one.name !== name), fresh];
}

/** A file with a question answered: zone and label in their own fields, others among the answers. */
export function afterAnswer(
  file: SeriesFile,
  question: Question | null,
  choice: string,
): SeriesFile {
  if (question === null) return file;
  if (question.id === 'zone' || (!question.id && /^[+-]\d{2}:\d{2}$/.test(choice)))
    return { ...file, zone: choice };
  if (question.id === 'label' || choice === 'start' || choice === 'end')
    return { ...file, label: choice };
  const answers = (file as { answers?: Record<string, string> }).answers ?? {};
  return { ...file, answers: { ...answers, [question.id ?? 'question']: choice } } as SeriesFile;
}

/** What is missing before the series can be entered; null when nothing is. */
export function seriesLacks(
  files: readonly SeriesFile[],
  preview: SeriesPreview | null,
): string | null {
  if (files.length === 0) return 'Choose the files';
  const unnamed = files.find((one) => one.instrument === '');
  if (unnamed) return `Say which instrument wrote ${unnamed.name}`;
  if (preview === null) return 'Reading the files';
  const asking = preview.files.find((one) => one.question !== null);
  return asking ? `Answer what ${asking.name} does not say` : null;
}

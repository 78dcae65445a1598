// The files of a series step before they are entered: zone, label, and which instrument measured
// each channel.
import type {
  Channel,
  FileQuestion,
  InstrumentChoice,
  LoggerFile,
  SeriesPreview,
} from '../../generated/api';

/** The instrument chosen for each channel, by the channel's id. */
export type Chosen = Readonly<Record<string, string>>;

/** Reads kept choices; anything that is none begins anew. */
export function readChosen(text: string): Chosen {
  try {
    const read: unknown = JSON.parse(text);
    if (typeof read !== 'object' || read === null) return {};
    return Object.fromEntries(
      Object.entries(read).filter((one): one is [string, string] => typeof one[1] === 'string'),
    );
  } catch {
    return {};
  }
}

/** Adds a file; one of the same name takes the place of the earlier and keeps what was said of it. */
export function withFile(files: readonly LoggerFile[], name: string, base64: string): LoggerFile[] {
  const file = { base64 };
  const old = files.find((one) => one.name === name);
  const fresh: LoggerFile = old ? { ...old, file } : { name, file, instrument: '' };
  return [...files.filter((one) => one.name !== name), fresh];
}

/** A file with a question answered: zone and label in their own fields, others among the answers. */
export function afterAnswer(
  file: LoggerFile,
  question: FileQuestion | null,
  choice: string,
): LoggerFile {
  if (question === null) return file;
  if (question.id === 'zone') return { ...file, zone: choice };
  if (question.id === 'label') return { ...file, label: choice };
  return { ...file, answers: { ...file.answers, [question.id]: choice } };
}

/** The channels that the files have, in the order of the step. */
export function found(channels: readonly Channel[], preview: SeriesPreview | null): Channel[] {
  const ids = new Set((preview?.files ?? []).flatMap((one) => one.channels));
  return channels.filter((one) => ids.has(one.id));
}

/** The instrument of a channel: as chosen, else the only one in date, else none. */
export function instrumentOf(channel: Channel, chosen: Chosen): string {
  const named = chosen[channel.id];
  if (named !== undefined) return named;
  const inDate: InstrumentChoice[] = channel.instruments.filter((one) => !one.overdue);
  return inDate.length === 1 ? (inDate[0]?.instrument ?? '') : '';
}

/** Files as they are sent: each with the instrument of its first channel. */
export function signed(
  files: readonly LoggerFile[],
  preview: SeriesPreview | null,
  instruments: Chosen,
): LoggerFile[] {
  return files.map((file) => {
    const read = preview?.files.find((one) => one.name === file.name);
    return { ...file, instrument: instruments[read?.channels[0] ?? ''] ?? '' };
  });
}

/** What is missing before the series can be entered; null when nothing is. */
export function seriesLacks(
  files: readonly LoggerFile[],
  preview: SeriesPreview | null,
  channels: readonly Channel[],
  chosen: Chosen,
): string | null {
  if (files.length === 0) return 'Choose the files';
  if (preview === null) return 'Reading the files';
  const asking = preview.files.find((one) => one.question !== null);
  if (asking) return `Answer what ${asking.name} does not say`;
  const missing = channels.find((one) => !preview.files.some((f) => f.channels.includes(one.id)));
  if (missing) return `No file has the ${missing.title.toLowerCase()}`;
  const unnamed = channels.find((one) => instrumentOf(one, chosen) === '');
  return unnamed ? `Say what measured the ${unnamed.title.toLowerCase()}` : null;
}

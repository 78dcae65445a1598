// What a key does to the text that is being typed. The text stays as typed: the back end reads it.

/** Keys of the pad and of the keyboard that mean the same. */
export type Key =
  | '0'
  | '1'
  | '2'
  | '3'
  | '4'
  | '5'
  | '6'
  | '7'
  | '8'
  | '9'
  | '.'
  | ','
  | '-'
  | '>'
  | '<'
  | 'back'
  | 'clear';

/** Longer than any reading; keeps a stuck key from filling the screen. */
const LONGEST = 24;

/** The text after one key. Minus turns the sign, a bound stands in front, the rest is added at the end. */
export function press(text: string, key: Key): string {
  if (key === 'clear') return '';
  if (key === 'back') return text.slice(0, -1);
  if (key === '-') return turnSign(text);
  if (key === '>' || key === '<') return turnBound(text, key);
  if (text.length >= LONGEST) return text;
  return text + key;
}

function turnSign(text: string): string {
  const bound = boundOf(text);
  const rest = text.slice(bound.length);
  return bound + (rest.startsWith('-') ? rest.slice(1) : `-${rest}`);
}

function turnBound(text: string, bound: string): string {
  const standing = boundOf(text);
  const rest = text.slice(standing.length);
  return standing === bound ? rest : bound + rest;
}

function boundOf(text: string): string {
  return text.startsWith('>') || text.startsWith('<') ? text.slice(0, 1) : '';
}

const NAMED: ReadonlyMap<string, Key> = new Map([
  ['Backspace', 'back'],
  ['Delete', 'clear'],
  ['Subtract', '-'],
  ['Decimal', '.'],
  ['\u2212', '-'],
]);

/** The pad's key for a keyboard event's `key`, or none where it means something else. */
export function fromKeyboard(key: string): Key | null {
  if (/^[0-9.,<>-]$/.test(key)) return key as Key;
  return NAMED.get(key) ?? null;
}

/** Keys that come faster than they can be kept, in order: what is wanted, and what is kept. */
export class Typing {
  #wanted: string;
  #running: Promise<void> | null = null;
  readonly #keep: (text: string) => Promise<void>;

  /** `keep` must resolve once the text is durable and shown. */
  constructor(text: string, keep: (text: string) => Promise<void>) {
    this.#wanted = text;
    this.#keep = keep;
  }

  /** The text with all keys so far, kept or about to be. */
  get wanted(): string {
    return this.#wanted;
  }

  /** Takes a key; resolves once everything typed so far is kept. */
  key(key: Key): Promise<void> {
    return this.set(press(this.#wanted, key));
  }

  /** Replaces the text, for instance by one of two ways to read a comma. */
  set(text: string): Promise<void> {
    this.#wanted = text;
    this.#running ??= this.#drain().finally(() => {
      this.#running = null;
    });
    return this.#running;
  }

  /** Resolves once nothing is on its way. */
  async settled(): Promise<void> {
    await this.#running;
  }

  async #drain(): Promise<void> {
    let kept: string | null = null;
    while (kept !== this.#wanted) {
      kept = this.#wanted;
      await this.#keep(kept);
    }
  }
}

/** The key behind a name that the pad or the keyboard tells. */
export function fromPad(name: string): Key | null {
  return name === 'erase' ? 'back' : fromKeyboard(name);
}

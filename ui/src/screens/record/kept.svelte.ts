// A text that the back end keeps as it is typed; after a restart it is what was typed.
import { asTrouble, call, type Trouble } from '../../transport';
import { Typing } from './keypad';

export class Kept {
  /** What the back end has. */
  text = $state('');
  /** Until the kept text was fetched, nothing may be typed over it. */
  ready = $state(false);
  trouble = $state.raw<Trouble | null>(null);
  readonly name: string;
  #typing = new Typing('', (text) => this.#keep(text));

  constructor(name: string) {
    this.name = name;
  }

  async load(): Promise<void> {
    try {
      const { text } = await call('draft', { name: this.name });
      this.#typing = new Typing(text ?? '', (one) => this.#keep(one));
      this.text = text ?? '';
      this.ready = true;
      this.trouble = null;
    } catch (error) {
      this.trouble = asTrouble(error);
    }
  }

  /** Keeps a new text; what was typed before it on the way is not lost. */
  async type(text: string): Promise<void> {
    try {
      await this.#typing.set(text);
      this.trouble = null;
    } catch (error) {
      this.trouble = asTrouble(error);
    }
  }

  async clear(): Promise<void> {
    if (this.text !== '' || this.#typing.wanted !== '') await this.type('');
  }

  async #keep(text: string): Promise<void> {
    await call('draft_keep', { name: this.name, text });
    this.text = text;
  }
}

/** The same for a form of several fields, kept as one. */
export class KeptForm<T> {
  value: T = $state.raw() as T;
  readonly kept: Kept;
  readonly #read: (text: string) => T;
  /** With every change so far, kept or about to be. */
  #wanted: T;

  constructor(name: string, read: (text: string) => T) {
    this.kept = new Kept(name);
    this.#read = read;
    this.#wanted = read('');
    this.value = this.#wanted;
  }

  async load(): Promise<void> {
    await this.kept.load();
    this.#wanted = this.#read(this.kept.text);
    this.value = this.#wanted;
  }

  /** Changes the form; shown once it is kept. Keys that come faster build on each other. */
  async change(change: (value: T) => T): Promise<void> {
    this.#wanted = change(this.#wanted);
    await this.kept.type(JSON.stringify(this.#wanted));
    this.value = this.#read(this.kept.text);
  }

  async clear(): Promise<void> {
    await this.kept.clear();
    this.#wanted = this.#read('');
    this.value = this.#wanted;
  }
}

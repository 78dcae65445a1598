// What is typed into the form of one calculation, kept at every key.
import { Keeper } from '../../parts/kept';
import { asTrouble, call, type Trouble } from '../../transport';
import { copyOf, fromJson, withoutEmptyRows, type Part, type Path, type Typed as Text } from './form';

/** What the calculation said about one field. */
export type Note = { field: string; sentence: string; next_step: string };

export class Typed {
  root = $state<Part>({});
  /** Text in blocks that was typed and is not read in yet, by the name of its place. */
  blocks = $state<Record<string, string>>({});
  /** Why the last key could not be kept; null while all is kept. */
  trouble = $state.raw<Trouble | null>(null);
  refused = $state.raw<Note | null>(null);
  missing = $state.raw<string[]>([]);
  readonly #draft: string;
  readonly #keeper: Keeper;
  readonly #blockKeeper: Keeper;

  constructor(draft: string) {
    this.#draft = draft;
    this.#keeper = new Keeper(async (text) => {
      await call('draft_keep', { name: this.#draft, text });
    });
    this.#blockKeeper = new Keeper(async (text) => {
      await call('draft_keep', { name: `${this.#draft}/blocks`, text });
    });
  }

  /** Puts back what was typed earlier; true when there was something. */
  async restore(): Promise<boolean> {
    try {
      const blocks = await call('draft', { name: `${this.#draft}/blocks` });
      if (blocks.text) this.blocks = fromJson(blocks.text) as Record<string, string>;
      const kept = await call('draft', { name: this.#draft });
      if (kept.text === null || kept.text === '') return false;
      this.root = fromJson(kept.text);
      return Object.keys(this.root).length > 0;
    } catch (error) {
      // What was kept by an earlier form of this page may be no input; it stays until a key is pressed.
      if (!(error instanceof SyntaxError)) this.trouble = asTrouble(error);
      return false;
    }
  }

  /** Begins with an input that came from elsewhere; it is kept once something is changed. */
  begin(input: Part): void {
    this.root = copyOf(input) as Part;
  }

  /** Keeps what is typed into a block; null when it was read in or given up. */
  setBlock(name: string, text: string | null): void {
    const rest = Object.entries(this.blocks).filter(([one]) => one !== name);
    this.blocks = Object.fromEntries(text === null ? rest : [...rest, [name, text]]);
    this.#blockKeeper.send(JSON.stringify(this.blocks)).then(
      () => (this.trouble = null),
      (error: unknown) => (this.trouble = asTrouble(error)),
    );
  }

  at(path: Path): Text | undefined {
    let here: Text | undefined = this.root;
    for (const step of path) {
      if (typeof here !== 'object') return undefined;
      here = (here as Record<string | number, Text>)[step];
    }
    return here;
  }

  text(path: Path): string {
    const value = this.at(path);
    return typeof value === 'string' ? value : '';
  }

  rows(path: Path): Text[] {
    const value = this.at(path);
    return Array.isArray(value) ? value : [];
  }

  set(path: Path, value: Text): void {
    let here = this.root as Record<string | number, Text>;
    path.slice(0, -1).forEach((step, index) => {
      const next = here[step];
      if (typeof next !== 'object') here[step] = typeof path[index + 1] === 'number' ? [] : {};
      here = here[step] as Record<string | number, Text>;
    });
    const last = path.at(-1);
    if (last !== undefined) here[last] = value;
    this.#keep();
  }

  /** Takes a field out, as if nothing had ever been typed there. */
  unset(path: Path): void {
    const part = this.at(path.slice(0, -1)) as Part | undefined;
    const last = path.at(-1);
    if (part && last !== undefined) delete part[last];
    this.#keep();
  }

  /** Takes a whole input in place of what stands there. */
  replace(input: Part): void {
    this.root = input;
    for (const name of Object.keys(this.blocks)) this.setBlock(name, null);
    this.refused = null;
    this.missing = [];
    this.#keep();
  }

  /** What is calculated with: rows in which nothing is typed are dropped first, in sight. */
  settled(): Part {
    const settled = withoutEmptyRows(copyOf(this.root)) as Part;
    this.root = settled;
    this.#keep();
    return settled;
  }

  #keep(): void {
    this.#keeper.send(JSON.stringify(this.root)).then(
      () => (this.trouble = null),
      (error: unknown) => (this.trouble = asTrouble(error)),
    );
  }
}

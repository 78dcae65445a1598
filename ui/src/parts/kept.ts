// Text that is shown once it has been kept: an edit is worked out before the field changes, sent
// off, and shown when the back end has it. What can't be worked out that way (input methods, undo,
// a word deleted) is left to the field and kept at once afterwards.

export type Edited = { text: string; caret: number };

/** What an edit makes of a text; null when the field itself has to do it. */
export function edit(
  text: string,
  from: number,
  to: number,
  kind: string,
  data: string | null,
): Edited | null {
  const put = (piece: string): Edited => ({
    text: text.slice(0, from) + piece + text.slice(to),
    caret: from + piece.length,
  });
  switch (kind) {
    case 'insertText':
    case 'insertFromPaste':
    case 'insertReplacementText':
      return data === null ? null : put(data);
    case 'insertLineBreak':
    case 'insertParagraph':
      return put('\n');
    case 'deleteContentBackward': {
      if (from !== to) return put('');
      const start = from - lastSign(text.slice(0, from)).length;
      return { text: text.slice(0, start) + text.slice(to), caret: start };
    }
    case 'deleteContentForward': {
      if (from !== to) return put('');
      const sign = [...text.slice(to)][0] ?? '';
      return { text: text.slice(0, from) + text.slice(to + sign.length), caret: from };
    }
    default:
      return null;
  }
}

/** Where a key moves the caret in a text; null for a key that does not move it. */
export function step(text: string, caret: number, key: string): number | null {
  switch (key) {
    case 'ArrowLeft':
      return caret - lastSign(text.slice(0, caret)).length;
    case 'ArrowRight':
      return caret + ([...text.slice(caret)][0] ?? '').length;
    case 'Home':
      return text.lastIndexOf('\n', caret - 1) + 1;
    case 'End': {
      const end = text.indexOf('\n', caret);
      return end < 0 ? text.length : end;
    }
    default:
      return null;
  }
}

function lastSign(text: string): string {
  return [...text].at(-1) ?? '';
}

/**
 * Sends texts one after the other, so that an older one never lands after a newer one; texts that
 * were overtaken while one was under way are skipped.
 */
export class Keeper {
  readonly #keep: (text: string) => Promise<void>;
  #next: string | null = null;
  #running: Promise<void> | null = null;

  constructor(keep: (text: string) => Promise<void>) {
    this.#keep = keep;
  }

  /** Resolves when this text, or a newer one, is kept; rejects when keeping failed. */
  send(text: string): Promise<void> {
    this.#next = text;
    this.#running ??= this.#run().finally(() => {
      this.#running = null;
    });
    return this.#running;
  }

  async #run(): Promise<void> {
    while (this.#next !== null) {
      const text = this.#next;
      this.#next = null;
      await this.#keep(text);
    }
  }
}

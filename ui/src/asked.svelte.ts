// One question to the back end, as state: what came, what went wrong, whether it is under way.
import { asTrouble, call, type Answer, type Args, type Name, type Trouble } from './transport';

/**
 * Holds the latest answer to one command. An answer that comes after a newer question was asked
 * is dropped; the last good answer stays while a new one is under way or fails.
 */
export class Asked<N extends Name> {
  value = $state.raw<Answer<N> | null>(null);
  trouble = $state.raw<Trouble | null>(null);
  waiting = $state(false);
  readonly #name: N;
  #turn = 0;

  constructor(name: N) {
    this.#name = name;
  }

  /** Asks; true when the answer came and is the newest. */
  async ask(args: Args<N>): Promise<boolean> {
    const turn = ++this.#turn;
    this.waiting = true;
    try {
      const answer = await call(this.#name, args);
      if (turn !== this.#turn) return false;
      this.value = answer;
      this.trouble = null;
      return true;
    } catch (error) {
      if (turn === this.#turn) this.trouble = asTrouble(error);
      return false;
    } finally {
      if (turn === this.#turn) this.waiting = false;
    }
  }
}

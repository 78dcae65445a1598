// What every screen shares: the session (folder, person acting), the day's sun, what is said aloud.
import type { Knowledge, Session } from './generated/api';
import { asTrouble, call, type Answer, type Trouble } from './transport';

const MINUTE = 60_000;

class House {
  session = $state.raw<Session | null>(null);
  sun = $state.raw<Answer<'sun_day'> | null>(null);
  trouble = $state.raw<Trouble | null>(null);
  /** The knowledge that the last screen rested on, for screens that have none of their own. */
  known = $state.raw<Knowledge | null>(null);
  /** The last result in words, for those who listen. */
  said = $state('');

  say(words: string): void {
    this.said = words;
  }

  /** Asks how things stand; keeps the last answer when the back end does not answer. */
  async look(): Promise<void> {
    try {
      const session = await call('session', {});
      this.session = session;
      this.trouble = null;
      if (session.state === 'open') await this.#readSunAndAge();
      else this.sun = null;
    } catch (error) {
      this.trouble = asTrouble(error);
    }
  }

  /** The day line and, until a screen brings it, the age of what is known here. */
  async #readSunAndAge(): Promise<void> {
    this.sun = await call('sun_day', { at: null }).catch(() => null);
    this.known ??= (await call('exchange', {})).knowledge;
  }

  /** Takes the session that a command answered with. */
  take(session: Session): void {
    this.session = session;
    if (session.state === 'closed') this.sun = null;
    else if (!this.sun) void this.look();
  }

  /** Releases the person; the form stays where it is. */
  async changePerson(): Promise<void> {
    try {
      this.take(await call('change_person', {}));
      this.say('Nobody acts now.');
    } catch (error) {
      this.trouble = asTrouble(error);
    }
  }

  /** Keeps clock and sun by the minute, and releases the person after idle minutes. */
  watch(): () => void {
    let touched = Date.now();
    const touch = (): void => {
      touched = Date.now();
    };
    const turn = setInterval(() => {
      const idle = this.session?.idle_minutes ?? 0;
      if (this.session?.acting && idle > 0 && Date.now() - touched >= idle * MINUTE) {
        void this.changePerson();
      }
      if (document.visibilityState === 'visible') void this.look();
    }, MINUTE / 3);
    addEventListener('pointerdown', touch, true);
    addEventListener('keydown', touch, true);
    return () => {
      clearInterval(turn);
      removeEventListener('pointerdown', touch, true);
      removeEventListener('keydown', touch, true);
    };
  }
}

export const house = new House();

// Time held, from what the back end said and the page's own running clock since; the back end is
// asked again by the minute, because the page's clock may stop while the tablet sleeps.
import type { HoldView } from '../../generated/api';
import { untilChange } from './band';
import type { Desk } from './desk.svelte';

export class Ticking {
  elapsed = $state(0);
  readonly #desk: Desk;
  readonly #hold: () => HoldView | null;

  constructor(desk: Desk, hold: () => HoldView | null) {
    this.#desk = desk;
    this.#hold = hold;
  }

  /** Runs until the returned function is called. */
  start(): () => void {
    let timer: ReturnType<typeof setTimeout> | undefined;
    let stopped = false;
    const look = async (ask: boolean): Promise<void> => {
      const running = this.#hold();
      if (ask && running !== null && running.ended === null) await this.#desk.load();
      if (stopped) return;
      this.#count();
      const hold = this.#hold();
      if (hold === null || hold.ended !== null) return;
      const wait = untilChange(this.elapsed, hold.required_seconds);
      const left = hold.required_seconds - this.elapsed;
      timer = setTimeout(() => void look(left > 60 || left <= 1.2), wait ?? 60_000);
    };
    const woken = (): void => {
      if (document.visibilityState !== 'visible') return;
      clearTimeout(timer);
      void look(true);
    };
    document.addEventListener('visibilitychange', woken);
    void look(false);
    return () => {
      stopped = true;
      clearTimeout(timer);
      document.removeEventListener('visibilitychange', woken);
    };
  }

  #count(): void {
    const hold = this.#hold();
    if (hold === null) return;
    const since = hold.ended === null ? (performance.now() - this.#desk.readAt) / 1000 : 0;
    this.elapsed = hold.elapsed_seconds + Math.max(0, since);
  }
}

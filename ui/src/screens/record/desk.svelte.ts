// The record on the desk: what the back end says of it, and the acts that change it.
import { getContext, setContext } from 'svelte';
import type { RecordView, Request, StepView } from '../../generated/api';
import { here } from '../../here.svelte';
import { house } from '../../house.svelte';
import { asTrouble, call, type Trouble } from '../../transport';
import { following } from './steps';

export class Desk {
  readonly record: string;
  view = $state.raw<RecordView | null>(null);
  trouble = $state.raw<Trouble | null>(null);
  busy = $state(false);
  /** When the view was read, by the clock of the page that only runs forward. */
  readAt = $state(0);
  /** The step whose answer is being corrected, and why, as kept. */
  correcting = $state('');
  why = $state('');

  constructor(record: string) {
    this.record = record;
  }

  async load(): Promise<void> {
    try {
      this.view = await call('record', { record: this.record });
      this.readAt = performance.now();
      this.trouble = null;
    } catch (error) {
      this.trouble = asTrouble(error);
    }
  }

  /** Makes an entry and reads the record anew. The trouble, if any, is given back: the form shows it. */
  async act(request: Request, said: string): Promise<Trouble | null> {
    if (this.busy) return null;
    this.busy = true;
    try {
      await call('act', request);
      house.say(said);
      await this.load();
      return null;
    } catch (error) {
      return asTrouble(error);
    } finally {
      this.busy = false;
    }
  }

  /** Shows a step. */
  goTo(step: string): void {
    here.go({ screen: 'record', record: this.record, step, form: false });
  }

  /** Shows what follows a step, or what comes once all are answered. */
  goOn(from: string): void {
    const next = following(this.view?.steps ?? [], from);
    here.go({ screen: 'record', record: this.record, step: next, form: false });
  }

  /** Opens the current answer of a step for correction; the original stays. */
  correct(step: string): void {
    this.correcting = step;
    this.why = '';
  }

  /** An answer was made: what comes next is shown. */
  entered(step: string): void {
    this.correcting = '';
    // The reason for taking it again is spent with it.
    if (this.why !== '') {
      this.why = '';
      void this.forget(this.correctionDraft(step));
    }
    this.goOn(step);
  }

  correctionDraft(step: string): string {
    return this.draftName('correction', step);
  }

  step(id: string): StepView | null {
    return this.view?.steps.find((one) => one.id === id) ?? null;
  }

  /**
   * The name under which something typed in this record is kept. What was typed for a step and not
   * entered belongs to its attempt: the next one begins with empty fields.
   */
  draftName(what: string, step = ''): string {
    if (step === '') return `${what}/${this.record}`;
    return `${what}/${this.record}/${this.view?.attempt?.number ?? 0}/${step}`;
  }

  /** Under which the back end keeps a reading while it is typed. */
  readingDraft(step: string): string {
    return `reading/${this.record}/${step}`;
  }

  /** What was entered is no draft any more. */
  async forget(...names: string[]): Promise<void> {
    // The entry stands; a leftover draft only shows old words the next time.
    await Promise.allSettled(names.map((name) => call('draft_keep', { name, text: '' })));
  }

  /** Readings typed in an attempt and never entered must not wait for a key in the next one. */
  async forgetReadings(): Promise<void> {
    const typed = (this.view?.steps ?? []).filter((one) => one.draft !== '');
    await this.forget(...typed.map((one) => this.readingDraft(one.id)));
  }
}

const KEY = Symbol('desk');

export function provideDesk(desk: Desk): Desk {
  return setContext(KEY, desk);
}

export function theDesk(): Desk {
  return getContext<Desk>(KEY);
}

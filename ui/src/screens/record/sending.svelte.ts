// Entering an answer to a step: as it is, insisted on with a reason, or left out with one.
import type { StepView, Typed } from '../../generated/api';
import type { Trouble } from '../../transport';
import type { Desk } from './desk.svelte';
import { answer, correct } from './requests';

/** What the actions ask for: the answer itself, or a reason first. */
export type Mode = 'plain' | 'insist' | 'correct' | 'missing' | 'not_applicable';

export class Sending {
  mode = $state<Mode>('plain');
  trouble = $state.raw<Trouble | null>(null);
  /** The reason as kept by the back end. */
  reason = $state('');
  readonly desk: Desk;
  readonly step: StepView;
  /** True when the step has an answer that this one corrects. */
  readonly correcting: boolean;
  /** Drafts that are spent once the answer is entered. */
  readonly spent: string[];
  /** What is held back until its reason is given, in words; empty where it has none. */
  heldText = $state('');
  #held: { typed: Typed; instrument: string | null } | null = null;

  constructor(desk: Desk, step: StepView, correcting: boolean, spent: string[] = []) {
    this.desk = desk;
    this.step = step;
    this.correcting = correcting;
    this.spent = spent;
  }

  /** The draft in which the reason of the present mode is kept. */
  get draft(): string {
    return this.desk.draftName(`reason-${this.mode}`, this.step.id);
  }

  /** Enters the answer; a refusal that a reason overcomes asks for that reason. */
  async send(typed: Typed, instrument: string | null = null): Promise<void> {
    if (this.correcting) this.#hold('correct', typed, instrument);
    else await this.#enter(typed, instrument, '');
  }

  /** Holds an answer back until its reason is given. */
  askWhy(typed: Typed, instrument: string | null = null): void {
    this.#hold('insist', typed, instrument);
  }

  /** Leaves the step without a value: the reason is the answer. */
  leave(how: 'missing' | 'not_applicable'): void {
    this.#turn(how);
  }

  back(): void {
    this.#turn('plain');
    this.#held = null;
  }

  /** Enters what was held back, with the reason that is now there. */
  async sendReason(): Promise<void> {
    const reason = this.reason.trim();
    if (this.mode === 'missing') await this.#enter({ missing: reason }, null, '');
    else if (this.mode === 'not_applicable')
      await this.#enter({ not_applicable: reason }, null, '');
    else if (this.#held) {
      const insist = this.mode === 'insist' ? reason : '';
      await this.#enter(this.#held.typed, this.#held.instrument, insist);
    }
  }

  #hold(mode: Mode, typed: Typed, instrument: string | null): void {
    this.#held = { typed, instrument };
    this.heldText = 'read' in typed ? typed.read : '';
    this.#turn(mode);
  }

  #turn(mode: Mode): void {
    this.mode = mode;
    this.reason = '';
    this.trouble = null;
  }

  async #enter(typed: Typed, instrument: string | null, insist: string): Promise<void> {
    const asked = { record: this.desk.record, step: this.step.id, typed, instrument, insist };
    const reasonDraft = this.draft;
    const request = this.correcting ? correct(asked, this.reason.trim()) : answer(asked);
    const trouble = await this.desk.act(request, `${this.step.title}: entered.`);
    if (trouble?.may_insist && insist === '') {
      this.askWhy(typed, instrument);
      this.trouble = trouble;
      return;
    }
    this.trouble = trouble;
    if (trouble !== null) return;
    const reading =
      this.step.ask.kind === 'reading' ? [this.desk.readingDraft(this.step.id)] : [];
    const reasons = this.mode === 'plain' ? [] : [reasonDraft];
    await this.desk.forget(...reading, ...reasons, ...this.spent);
    this.desk.entered(this.step.id);
  }
}

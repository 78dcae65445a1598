// A reading while it is typed: every key is weighed by the back end, which keeps it, and what is
// shown is what came back.
import type { StepView, Weighed } from '../../generated/api';
import { asTrouble, call, type Trouble } from '../../transport';
import type { Desk } from './desk.svelte';
import { fromPad, Typing } from './keypad';
import { readSetting, usual, type Setting } from './setting';

type ReadingAsk = Extract<StepView['ask'], { kind: 'reading' }>;

export class Reading {
  weighed = $state.raw<Weighed | null>(null);
  trouble = $state.raw<Trouble | null>(null);
  unit = $state('');
  instrument = $state('');
  readonly ask: ReadingAsk;
  readonly #desk: Desk;
  readonly #step: string;
  #typing: Typing;

  constructor(desk: Desk, step: StepView, ask: ReadingAsk) {
    this.ask = ask;
    this.#desk = desk;
    this.#step = step.id;
    const start = usual(ask, desk.view?.steps ?? []);
    this.unit = start.unit;
    this.instrument = start.instrument;
    this.#typing = new Typing(step.draft, (text) => this.#weigh(text));
  }

  /** Brings back unit and instrument as they were chosen, then weighs what was typed. */
  async load(): Promise<void> {
    try {
      const { text } = await call('draft', { name: this.#settingName });
      if (text !== null) this.#take(readSetting(text, this.ask, this.#setting));
    } catch (error) {
      this.trouble = asTrouble(error);
    }
    await this.#again();
  }

  /** What the number shows: grouped once it can be read, as typed until then. */
  get shown(): string {
    return this.weighed?.shown || this.weighed?.text_kept || '';
  }

  /** What Keep sends: the text as typed, with its unit. */
  get answer(): string {
    const text = this.weighed?.text_kept ?? '';
    return text === '' ? '' : `${text} ${this.unit}`.trim();
  }

  /** What is missing before the reading can be kept; empty when nothing is. */
  get lacks(): string {
    if (this.answer === '') return 'Type the number';
    if (this.weighed?.fault) {
      return this.weighed.fault.readings.length > 0 ? 'Say which number it is' : 'Not a number yet';
    }
    if (this.ask.instrument_role !== null && this.instrument === '') return 'Choose the instrument';
    return '';
  }

  async key(name: string): Promise<void> {
    const key = fromPad(name);
    if (key !== null) await this.#try(() => this.#typing.key(key));
  }

  /** Takes one of two ways to read what was typed. */
  async take(text: string): Promise<void> {
    await this.#try(() => this.#typing.set(text));
  }

  async chooseUnit(unit: string): Promise<void> {
    await this.#keepSetting({ ...this.#setting, unit });
  }

  /** Another instrument brings its own unit, as far as the step takes it. */
  async chooseInstrument(instrument: string): Promise<void> {
    const own = this.ask.instruments.find((one) => one.instrument === instrument)?.unit ?? '';
    const unit = this.ask.units.includes(own) ? own : this.unit;
    await this.#keepSetting({ unit, instrument });
  }

  get #setting(): Setting {
    return { unit: this.unit, instrument: this.instrument };
  }

  get #settingName(): string {
    return this.#desk.draftName('setting', this.#step);
  }

  #take(setting: Setting): void {
    this.unit = setting.unit;
    this.instrument = setting.instrument;
  }

  async #keepSetting(setting: Setting): Promise<void> {
    await this.#try(async () => {
      await call('draft_keep', { name: this.#settingName, text: JSON.stringify(setting) });
      this.#take(setting);
    });
    await this.#again();
  }

  async #again(): Promise<void> {
    await this.#try(() => this.#typing.set(this.#typing.wanted));
  }

  async #try(act: () => Promise<void>): Promise<void> {
    try {
      await act();
      this.trouble = null;
    } catch (error) {
      this.trouble = asTrouble(error);
    }
  }

  async #weigh(text: string): Promise<void> {
    this.weighed = await call('weigh', {
      record: this.#desk.record,
      step: this.#step,
      text,
      unit: this.unit,
    });
  }
}

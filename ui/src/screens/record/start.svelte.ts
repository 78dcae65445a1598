// What is told at the start of an attempt, kept at every key and choice until it is started.
import { house } from '../../house.svelte';
import type { Desk } from './desk.svelte';
import { KeptForm } from './kept.svelte';
import { helping, readHelpers, type Told } from './start';

export class Start {
  /** The permit's number as kept. */
  permit = $state('');
  readonly permitDraft: string;
  readonly helpers: KeptForm<string[]>;
  readonly #desk: Desk;

  constructor(desk: Desk) {
    this.#desk = desk;
    this.permitDraft = desk.draftName('permit');
    this.helpers = new KeptForm(desk.draftName('helpers'), readHelpers);
  }

  get acting(): string {
    return house.session?.acting?.person ?? '';
  }

  get told(): Told {
    return { permit: this.permit, helpers: helping(this.helpers.value, this.acting) };
  }

  async add(person: string): Promise<void> {
    await this.helpers.change((all) => [...all.filter((one) => one !== person), person]);
  }

  async remove(person: string): Promise<void> {
    await this.helpers.change((all) => all.filter((one) => one !== person));
  }

  /** The entry says it now. */
  async forget(): Promise<void> {
    await this.helpers.clear();
    await this.#desk.forget(this.permitDraft);
    this.permit = '';
  }
}

// The handover report of a dish: issued, signed field by field, saved.
import type { ReportView } from '../../generated/api';
import { house } from '../../house.svelte';
import { asTrouble, call, type Trouble } from '../../transport';
import { inTheWindow } from './doors';

export class Papers {
  view = $state.raw<ReportView | null>(null);
  trouble = $state.raw<Trouble | null>(null);
  busy = $state(false);
  /** Where the file lies now, in words. */
  saved = $state('');
  readonly position: string;

  constructor(position: string) {
    this.position = position;
  }

  load(): Promise<void> {
    return this.#do(() => call('report', { position: this.position }), '');
  }

  issue(): Promise<void> {
    return this.#do(
      () => call('report_issue', { position: this.position }),
      'The report is issued.',
    );
  }

  sign(report: string, field: string, pin: string): Promise<void> {
    const args = { position: this.position, report, field, pin };
    return this.#do(() => call('report_sign', args), 'The report is signed.');
  }

  /** Writes the file where the person says; a file that exists is never replaced. */
  async save(report: string, path: string): Promise<void> {
    await this.#try(async () => {
      const answer = await call('report_save', { report, path });
      this.saved = `Saved as ${answer.path}`;
      house.say(this.saved);
    });
  }

  /** In a browser the file goes where the browser puts what it fetches. */
  async download(report: string): Promise<void> {
    await this.#try(async () => {
      const { file_name, base64 } = await call('report_bytes', { report });
      const bytes = Uint8Array.from(atob(base64), (one) => one.charCodeAt(0));
      const address = URL.createObjectURL(new Blob([bytes], { type: 'application/pdf' }));
      const link = document.createElement('a');
      link.href = address;
      link.download = file_name;
      link.click();
      setTimeout(() => URL.revokeObjectURL(address), 60_000);
      this.saved = `${file_name} went to the browser's downloads.`;
      house.say(this.saved);
    });
  }

  /** Whether the browser can fetch it: the window writes files itself. */
  get downloads(): boolean {
    return !inTheWindow();
  }

  async #do(ask: () => Promise<ReportView>, said: string): Promise<void> {
    await this.#try(async () => {
      this.view = await ask();
      if (said !== '') house.say(said);
    });
  }

  async #try(act: () => Promise<void>): Promise<void> {
    if (this.busy) return;
    this.busy = true;
    try {
      await act();
      this.trouble = null;
    } catch (error) {
      this.trouble = asTrouble(error);
    } finally {
      this.busy = false;
    }
  }
}

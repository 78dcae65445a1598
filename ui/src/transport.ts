// The only file that calls the back end: through the window's bridge when there is one, else by
// HTTP to the address that served this page. Errors become Trouble; nothing is retried by itself.
import type { Commands } from './generated/api';

export type Name = keyof Commands;
export type Args<N extends Name> = Commands[N]['args'];
export type Answer<N extends Name> = Commands[N]['answer'];

/** What stops an action: always a sentence and what to do next. */
export class Trouble extends Error {
  readonly code: string;
  readonly sentence: string;
  readonly next_step: string;
  readonly may_insist: boolean;
  /** Everything that came with the error, e.g. a question. */
  readonly more: Readonly<Record<string, unknown>>;

  constructor(
    code: string,
    sentence: string,
    next_step: string,
    more: Record<string, unknown> = {},
  ) {
    super(sentence);
    this.name = 'Trouble';
    this.code = code;
    this.sentence = sentence;
    this.next_step = next_step;
    this.may_insist = more['may_insist'] === true;
    this.more = more;
  }
}

type Carrier = (name: string, args: unknown) => Promise<unknown>;

/** Calls one command and gives its typed answer, or throws Trouble. */
export async function call<N extends Name>(name: N, args: Args<N>): Promise<Answer<N>> {
  const carry = '__TAURI_INTERNALS__' in globalThis ? byWindow : byHttp;
  return (await carry(name, args)) as Answer<N>;
}

const byWindow: Carrier = async (name, args) => {
  const { invoke } = await import('@tauri-apps/api/core');
  try {
    return await invoke('call', { name, args });
  } catch (error) {
    throw asTrouble(error);
  }
};

const byHttp: Carrier = async (name, args) => {
  let response: Response;
  try {
    response = await fetch(`/api/${name}`, {
      method: 'POST',
      headers: { 'content-type': 'application/json' },
      credentials: 'same-origin',
      body: JSON.stringify(args),
    });
  } catch {
    throw unreachable();
  }
  let body: unknown;
  try {
    body = await response.json();
  } catch {
    throw new Trouble(
      'door.unreadable_answer',
      `The logbook answered “${name}” with something that can't be read (HTTP ${response.status}).`,
      'Do it again. If it stays, start the program anew; what was kept is still there.',
    );
  }
  if (response.ok) return body;
  throw asTrouble(body);
};

function unreachable(): Trouble {
  return new Trouble(
    'door.unreachable',
    'The logbook does not answer.',
    'Look whether the program still runs, then do it again. What was kept is still there.',
  );
}

/** Reads whatever the back end threw; keeps its words when it has any. */
export function asTrouble(thrown: unknown): Trouble {
  if (thrown instanceof Trouble) return thrown;
  if (thrown !== null && typeof thrown === 'object') {
    const fields = thrown as Record<string, unknown>;
    const text = (name: string): string => {
      const value = fields[name];
      return typeof value === 'string' ? value : '';
    };
    if (text('code') && text('sentence')) {
      return new Trouble(text('code'), text('sentence'), text('next_step'), fields);
    }
  }
  const words = thrown instanceof Error ? thrown.message : String(thrown);
  return new Trouble(
    'door.unknown_error',
    `Something went wrong that has no name here: ${words}`,
    'Do it again. If it stays, write these words down for whoever looks after the program.',
  );
}

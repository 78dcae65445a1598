import { afterEach, describe, expect, it, vi } from 'vitest';
import { asTrouble, call, Trouble } from './transport';

function answers(status: number, body: string): ReturnType<typeof vi.fn> {
  const fake = vi.fn(async () => new Response(body, { status }));
  vi.stubGlobal('fetch', fake);
  return fake;
}

async function troubleOf(asked: Promise<unknown>): Promise<Trouble> {
  try {
    await asked;
  } catch (error) {
    if (error instanceof Trouble) return error;
    throw error;
  }
  throw new Error('nothing was thrown');
}

afterEach(() => vi.unstubAllGlobals());

describe('transport over HTTP', () => {
  it('posts the arguments to the command and gives the answer', async () => {
    const fake = answers(200, '{"text":"110.2"}');
    expect(await call('draft', { name: 'a' })).toEqual({ text: '110.2' });
    const [url, how] = fake.mock.calls[0] as [string, RequestInit];
    expect(url).toBe('/api/draft');
    expect(how.method).toBe('POST');
    expect(how.body).toBe('{"name":"a"}');
  });

  it('keeps code, sentence, next step and what else came with an error', async () => {
    answers(422, '{"code":"a.b","sentence":"S.","next_step":"N.","may_insist":true,"question":{"x":1}}');
    const trouble = await troubleOf(call('session', {}));
    expect([trouble.code, trouble.sentence, trouble.next_step]).toEqual(['a.b', 'S.', 'N.']);
    expect(trouble.may_insist).toBe(true);
    expect(trouble.more['question']).toEqual({ x: 1 });
  });

  it('says that nobody answers when the connection fails', async () => {
    vi.stubGlobal('fetch', async () => {
      throw new TypeError('Failed to fetch');
    });
    const trouble = await troubleOf(call('session', {}));
    expect(trouble.code).toBe('door.unreachable');
    expect(trouble.next_step).not.toBe('');
  });

  it('says so when the answer is no JSON, whatever its status', async () => {
    answers(502, '<html>');
    expect((await troubleOf(call('session', {}))).code).toBe('door.unreadable_answer');
  });

  it('never takes an error status for an answer', async () => {
    answers(500, '{"anything":1}');
    expect((await troubleOf(call('session', {}))).code).toBe('door.unknown_error');
  });
});

describe('asTrouble', () => {
  it('gives words to everything that can be thrown', () => {
    expect(asTrouble('no such command').sentence).toContain('no such command');
    expect(asTrouble(new Error('x y')).sentence).toContain('x y');
    expect(asTrouble(null).next_step).not.toBe('');
    const trouble = new Trouble('a', 'b', 'c');
    expect(asTrouble(trouble)).toBe(trouble);
  });
});

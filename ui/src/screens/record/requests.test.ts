import { describe, expect, it } from 'vitest';
import { answer, correct, review, startAttempt, tableTyped } from './requests';

describe('requests', () => {
  it('leave out what was not said, because the back end takes no empty fields', () => {
    expect(
      answer({
        record: 'r',
        step: 'gas',
        typed: { choose: 'helium' },
        instrument: null,
        insist: '',
      }),
    ).toEqual({
      do: 'answer',
      record: 'r',
      step: 'gas',
      typed: { choose: 'helium' },
    });
    expect(review('r', 'accept', ' ')).toEqual({ do: 'review', record: 'r', decision: 'accept' });
    expect(startAttempt('r', null)).toEqual({ do: 'start_attempt', record: 'r' });
  });

  it('carry the instrument and the reason for insisting', () => {
    const asked = {
      record: 'r',
      step: 'start-gauge',
      typed: { read: '110.2 bar(g)' },
      instrument: 'PG-03',
      insist: 'second gauge shows the same',
    };
    expect(answer(asked)).toMatchObject({
      instrument: 'PG-03',
      insist: 'second gauge shows the same',
    });
    expect(correct(asked, 'digits swapped')).toEqual({
      do: 'correct',
      reason: 'digits swapped',
      answer: {
        record: 'r',
        step: 'start-gauge',
        typed: { read: '110.2 bar(g)' },
        instrument: 'PG-03',
        insist: 'second gauge shows the same',
      },
    });
  });

  it('give a noted row the state of all others where it has none of its own', () => {
    const draft = {
      others: 'none',
      instrument: '',
      count: '32',
      exceptions: [
        { row: 'G2', choice: '', note: ' new ' },
        { row: 'G14', choice: 'leak', note: '' },
      ],
    };
    expect(tableTyped(draft)).toEqual({
      table: {
        others: 'none',
        count: 32,
        rows: [
          { row: 'G2', choice: 'none', note: 'new' },
          { row: 'G14', choice: 'leak' },
        ],
      },
    });
  });

  it('say from where and why an attempt starts again', () => {
    expect(startAttempt('r', { fromStep: 'raise-5', reason: 'G14 remade' })).toEqual({
      do: 'start_attempt',
      record: 'r',
      from_step: 'raise-5',
      reason: 'G14 remade',
    });
  });
});

import { describe, expect, it } from 'vitest';
import { answer, correct, noteWeather, review, startAttempt, tableTyped } from './requests';

const nothing = { permit: ' ', helpers: [] };

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
    expect(startAttempt('r', null, nothing)).toEqual({ do: 'start_attempt', record: 'r' });
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
    const again = { fromStep: 'raise-5', reason: 'G14 remade' };
    expect(startAttempt('r', again, nothing)).toEqual({
      do: 'start_attempt',
      record: 'r',
      from_step: 'raise-5',
      reason: 'G14 remade',
    });
  });

  it('start an attempt under a permit and with those who help', () => {
    expect(startAttempt('r', null, { permit: ' PTW-0460 ', helpers: ['P-09'] })).toEqual({
      do: 'start_attempt',
      record: 'r',
      permit: 'PTW-0460',
      assisted_by: ['P-09'],
    });
  });

  it('note all that was seen of the weather at once', () => {
    const seen = [
      { quantity: 'wind-gust', typed: ' 7.3 m/s', instrument: 'AN-01 ' },
      { quantity: 'lightning', typed: '', instrument: '' },
    ];
    expect(noteWeather('r', seen)).toEqual({
      do: 'note_weather',
      record: 'r',
      observations: [{ quantity: 'wind-gust', typed: '7.3 m/s', instrument: 'AN-01' }],
    });
  });
});

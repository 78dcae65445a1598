import { describe, expect, it } from 'vitest';
import {
  EMPTY_SURVEY,
  countStates,
  dropRow,
  putRow,
  readSurveyDraft,
  rowOf,
  setState,
  surveyLacks,
  typeInto,
} from './survey';

describe('a survey typed by hand', () => {
  it('makes a row measured by its first number', () => {
    const draft = typeInto(EMPTY_SURVEY, 'R04/F17', 0, 2, '12.3');
    expect(rowOf(draft, 'R04/F17')).toEqual({
      row: 'R04/F17',
      state: 'measured',
      typed: ['12.3', ''],
      note: '',
    });
    expect(surveyLacks(draft, 252)).toBe('R04/F17 lacks a number');
  });

  it('keeps both numbers as typed, signs and commas included', () => {
    const draft = typeInto(typeInto(EMPTY_SURVEY, 'R04/F17', 0, 2, '-12,3'), 'R04/F17', 1, 2, '4');
    expect(rowOf(draft, 'R04/F17')?.typed).toEqual(['-12,3', '4']);
  });

  it('forgets a row whose numbers were all taken back', () => {
    const draft = typeInto(typeInto(EMPTY_SURVEY, 'R04/F17', 0, 2, '1'), 'R04/F17', 0, 2, '');
    expect(draft.rows).toEqual([]);
  });

  it('has no numbers where nothing was measured', () => {
    const draft = setState(typeInto(EMPTY_SURVEY, 'R01/F02', 0, 2, '3'), 'R01/F02', 'masked', 2);
    expect(rowOf(draft, 'R01/F02')?.typed).toEqual([]);
    const again = setState(draft, 'R01/F02', 'measured', 2);
    expect(rowOf(again, 'R01/F02')?.typed).toEqual(['', '']);
    expect(surveyLacks(again, 252)).toBe('R01/F02 lacks a number');
  });

  it('counts every row, those not named by the state of all others', () => {
    const draft = setState({ ...EMPTY_SURVEY, others: 'within' }, 'R07/F12', 'not_measured', 2);
    expect(countStates(draft, 252)).toEqual({
      measured: 0,
      within: 251,
      not_measured: 1,
      masked: 0,
    });
    expect(countStates(EMPTY_SURVEY, 252).within).toBe(0);
  });

  it('orders rows as they are painted on the racks', () => {
    const draft = ['R02/F12', 'R02/F5', 'R01/F20'].reduce(
      (all, row) => putRow(all, { row, state: 'masked', typed: [], note: '' }),
      EMPTY_SURVEY,
    );
    expect(draft.rows.map((one) => one.row)).toEqual(['R01/F20', 'R02/F5', 'R02/F12']);
    expect(dropRow(draft, 'R02/F5').rows).toHaveLength(2);
  });

  it('survives a restart as it was typed', () => {
    const draft = {
      ...typeInto(EMPTY_SURVEY, 'R04/F17', 1, 2, '-0,8'),
      others: 'not_measured' as const,
      reason: 'dew',
    };
    expect(readSurveyDraft(JSON.stringify(draft))).toEqual(draft);
    expect(readSurveyDraft('{"others":"safe","rows":[{"row":"R1","state":"new"}]}')).toEqual(
      EMPTY_SURVEY,
    );
    expect(readSurveyDraft('not json')).toEqual(EMPTY_SURVEY);
  });

  it('says what is still missing', () => {
    expect(surveyLacks(EMPTY_SURVEY, 252)).toBe('Say how the other 252 are');
    expect(surveyLacks({ ...EMPTY_SURVEY, others: 'not_measured' }, 252)).toBe(
      'Say why the others were not measured',
    );
    expect(surveyLacks({ ...EMPTY_SURVEY, others: 'within' }, 252)).toBe('');
    expect(surveyLacks(setState(EMPTY_SURVEY, 'R01/F01', 'masked', 2), 1)).toBe('');
  });
});

import { describe, expect, it } from 'vitest';
import type { AlignmentView } from '../../generated/api';
import {
  boxAround,
  fingerRadius,
  following,
  isDirection,
  neighbour,
  rowOfFacet,
  size,
  spaced,
  toTurn,
  type Facet,
} from './facets';

function facet(name: string, x: string, y: string, out: boolean): Facet {
  return { facet: name, rack: name.slice(0, 3), state: 'measured', x, y, out };
}

describe('neighbour', () => {
  const places = [
    { id: 'middle', x: 0, y: 0 },
    { id: 'right', x: 10, y: 1 },
    { id: 'far right', x: 20, y: 0 },
    { id: 'up', x: 1, y: -10 },
    { id: 'down left', x: -9, y: 9.5 },
  ];

  it('goes to the nearest that way', () => {
    expect(neighbour(places, 'middle', 'ArrowRight')).toBe('right');
    expect(neighbour(places, 'middle', 'ArrowUp')).toBe('up');
    expect(neighbour(places, 'middle', 'ArrowDown')).toBe('down left');
    expect(neighbour(places, 'right', 'ArrowLeft')).toBe('middle');
  });

  it('stays at the edge', () => {
    expect(neighbour(places, 'far right', 'ArrowRight')).toBeNull();
    expect(neighbour(places, 'up', 'ArrowUp')).toBeNull();
  });

  it('begins at the first where nothing was chosen', () => {
    expect(neighbour(places, '', 'ArrowUp')).toBe('middle');
    expect(neighbour([], '', 'ArrowUp')).toBeNull();
  });

  it('listens to arrows only', () => {
    expect(isDirection('ArrowUp')).toBe(true);
    expect(isDirection('Enter')).toBe(false);
    expect(isDirection('toString')).toBe(false);
  });
});

describe('the order of the work', () => {
  const all = [
    facet('R01/F02', '0.2', '0.1', false),
    facet('R02/F05', '\u22121.31', '0.55', true),
    facet('R04/F17', '1.1', '0.0', true),
    facet('R09/F01', '2.1', '2.2', true),
  ];

  it('is worst first, without the facets of a rack that moved', () => {
    expect(toTurn(all, new Set(['R09'])).map((one) => one.facet)).toEqual(['R02/F05', 'R04/F17']);
  });

  it('goes round', () => {
    const list = toTurn(all, new Set());
    expect(following(list, 'R09/F01')?.facet).toBe('R02/F05');
    expect(following(list, 'R04/F17')?.facet).toBe('R09/F01');
    expect(following([], 'R04/F17')).toBeNull();
  });

  it('reads a true minus sign', () => {
    expect(size(all[1]!)).toBeCloseTo(1.4207, 3);
    expect(size(facet('R01/F01', '', '', false))).toBeNaN();
  });
});

describe('zoom', () => {
  it('frames what is to be seen in the middle of a square', () => {
    expect(
      boxAround(
        [
          { id: 'a', x: 0, y: 0 },
          { id: 'b', x: 10, y: 4 },
        ],
        1,
      ),
    ).toBe('-1.00 -4.00 12.00 12.00');
    expect(boxAround([], 1)).toBeNull();
  });

  it('rings the chosen facet with the size of a finger, however it is framed', () => {
    expect(fingerRadius('-100 -100 200 200', 400, 600)).toBe(16);
    expect(fingerRadius('0 0 50 50', 400, 600)).toBe(4);
    expect(fingerRadius('', 0, 0)).toBe(0);
  });

  it('tells of a facet what the page does not say already', () => {
    const table = {
      name: 'facets', title: 'Facets', columns: ['facet', 'rack', 'x mrad', 'dx', 'p m', 'note'],
      rows: [['R01/F01', 'R01', '-0.07', '-0.9 mm', '6.6', '']],
    };
    const sheet = { tables: [table] } as unknown as AlignmentView['sheet'];
    expect(rowOfFacet(sheet, 'R01/F01')).toEqual([['dx', '-0.9 mm'], ['p m', '6.6']]);
    expect(rowOfFacet(sheet, 'R01/F02')).toEqual([]);
  });

  it('spaces a facet name', () => {
    expect(spaced('R04/F17')).toBe('R04 / F17');
  });
});

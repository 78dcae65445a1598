import { describe, expect, it } from 'vitest';
import { place } from './plan';
import { summary } from './morning';

const room = { width: 740, height: 560, cell: 178, line: 178 };
const cluster = Array.from({ length: 12 }, (_, i) => ({
  position: `PC-${i + 1}`,
  east: (i % 4) * 60 + (Math.floor(i / 4) === 1 ? -10 : 0),
  north: (2 - Math.floor(i / 4)) * 60,
}));

describe('the plan of the yard', () => {
  it('stands north up and east right', () => {
    const placed = new Map(place(cluster, room).map((p) => [p.position, p]));
    expect(placed.get('PC-1')?.y).toBeLessThan(placed.get('PC-9')?.y ?? 0);
    expect(placed.get('PC-1')?.x).toBeLessThan(placed.get('PC-4')?.x ?? 0);
    expect(placed.get('PC-5')?.x).toBeLessThan(placed.get('PC-1')?.x ?? 0);
  });
  it.each([room, { ...room, width: 1300, height: 860, cell: 250, line: 250 }])(
    'lets no face stand on another, nor outside (%o)',
    (room) => {
      const placed = place(cluster, room);
      for (const a of placed) {
        expect(a.x).toBeGreaterThan(40);
        expect(a.x).toBeLessThan(room.width - 40);
        expect(a.y).toBeGreaterThan(40);
        expect(a.y).toBeLessThan(room.height);
        for (const b of placed) {
          if (a === b) continue;
          expect(Math.hypot(a.x - b.x, a.y - b.y)).toBeGreaterThan(132);
        }
      }
    },
  );
  it('puts one dish, or dishes in a row, in the middle', () => {
    expect(place([{ position: 'A', east: 3, north: 7 }], room)).toEqual([
      { position: 'A', x: 370, y: 280 },
    ]);
    const row = place([{ position: 'A', east: 0, north: 7 }, { position: 'B', east: 9, north: 7 }], room);
    expect(row.map((p) => p.y)).toEqual([280, 280]);
    expect(place([], room)).toEqual([]);
  });
});

describe('the sentence over the morning list', () => {
  const of = (open: number, ready: number) =>
    summary([...Array(open).fill({ ready: false }), ...Array(ready).fill({ ready: true })]);
  it('counts what needs somebody and what can be signed', () => {
    expect(of(5, 2)).toBe('Five need somebody. Two can be signed.');
    expect(of(1, 0)).toBe('One needs somebody.');
    expect(of(12, 0)).toBe('12 need somebody.');
  });
  it('never says that nothing is open without saying who says so', () => {
    expect(of(0, 0)).toContain('as known here');
  });
});

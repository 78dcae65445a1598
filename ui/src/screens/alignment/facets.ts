// Finding one's way among the facets: the order, the worst first, and the neighbour in a direction.

import type { AlignmentView } from '../../generated/api';

export type Facet = AlignmentView['facets'][number];

/** Where a facet is drawn, in units of the map. */
export interface Place {
  id: string;
  x: number;
  y: number;
}

export type Direction = 'ArrowLeft' | 'ArrowRight' | 'ArrowUp' | 'ArrowDown';

const VECTORS: Readonly<Record<Direction, readonly [number, number]>> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

export function isDirection(key: string): key is Direction {
  return Object.hasOwn(VECTORS, key);
}

/** The nearest facet that way; what lies to the side counts double. None at the edge. */
export function neighbour(places: readonly Place[], from: string, way: Direction): string | null {
  const here = places.find((one) => one.id === from);
  if (here === undefined) return places[0]?.id ?? null;
  const [vx, vy] = VECTORS[way];
  let best: string | null = null;
  let least = Infinity;
  for (const one of places) {
    const dx = one.x - here.x;
    const dy = one.y - here.y;
    const ahead = dx * vx + dy * vy;
    const aside = Math.abs(dx * vy - dy * vx);
    if (one.id === from || ahead <= 0 || aside > ahead) continue;
    const cost = ahead + 2 * aside;
    if (cost < least) [best, least] = [one.id, cost];
  }
  return best;
}

/** How far a facet is off, for the order of the work only; what was not measured has none. */
export function size(facet: Facet): number {
  const x = Number(facet.x.replace('\u2212', '-'));
  const y = Number(facet.y.replace('\u2212', '-'));
  return facet.x === '' || facet.y === '' ? Number.NaN : Math.hypot(x, y);
}

/** Facets to turn, worst first; those of a rack that moved are left out, the rack comes before them. */
export function toTurn(facets: readonly Facet[], movedRacks: ReadonlySet<string>): Facet[] {
  return facets
    .filter((one) => one.out && !movedRacks.has(one.rack))
    .sort(
      (a, b) =>
        (size(b) || 0) - (size(a) || 0) || a.facet.localeCompare(b.facet, 'en', { numeric: true }),
    );
}

/** The one after this in the list, from the first again at its end. */
export function following(list: readonly Facet[], after: string): Facet | null {
  const at = list.findIndex((one) => one.facet === after);
  return list[(at + 1) % Math.max(list.length, 1)] ?? null;
}

/** "R04/F17" as it is spoken and painted on the facet: "R04 / F17". */
export function spaced(facet: string): string {
  return facet.replace('/', ' / ');
}

/** A box round the places, with a margin, as an SVG view box; none without places. */
export function boxAround(places: readonly Place[], margin: number): string | null {
  if (places.length === 0) return null;
  const xs = places.map((one) => one.x);
  const ys = places.map((one) => one.y);
  const [left, right] = [Math.min(...xs), Math.max(...xs)];
  const [top, bottom] = [Math.min(...ys), Math.max(...ys)];
  const side = Math.max(right - left, bottom - top) + 2 * margin;
  const corner = [(left + right - side) / 2, (top + bottom - side) / 2];
  return [...corner, side, side].map((one) => one.toFixed(2)).join(' ');
}

export const STATES: Readonly<Record<Facet['state'], string>> = {
  measured: 'Measured, within',
  within: 'Within, by eye',
  not_measured: 'Not measured',
  masked: 'Masked or cracked',
};

/** How many facets are out in these racks. */
export function outIn(facets: readonly Facet[], racks: ReadonlySet<string>): number {
  return facets.filter((one) => one.out && racks.has(one.rack)).length;
}

/** Columns that the page says already, in its own words. */
const TOLD = new Set(['rack', 'state', 'out', 'x mrad', 'y mrad']);

/** The values of one facet in the sheet's table of facets, each with its column; none where it has no row. */
export function rowOfFacet(sheet: AlignmentView['sheet'], facet: string): [string, string][] {
  for (const table of sheet?.tables ?? []) {
    const row = table.rows.find((one) => one[0] === facet);
    if (!row) continue;
    return table.columns
      .map((title, at): [string, string] => [title, row[at] ?? ''])
      .filter(([title, value], at) => at > 0 && !TOLD.has(title) && value !== '');
  }
  return [];
}

/** Half the size of a finger (32 px) in units of a view box that is fitted into a pane. */
export function fingerRadius(box: string, width: number, height: number): number {
  const [, , across = 0, down = 0] = box.split(' ').map(Number);
  const scale = Math.min(width / across, height / down);
  return Number.isFinite(scale) && scale > 0 ? 32 / scale : 0;
}

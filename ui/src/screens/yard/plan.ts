// Where the faces of the yard stand on the screen: by east and north, none on top of another.

export type Dish = { position: string; east: number; north: number };
export type Placed = { position: string; x: number; y: number };

/** What a face needs with its two lines of words, in px. */
export type Room = { width: number; height: number; cell: number; line: number };

/**
 * Fits the dishes into a rectangle, north up, the plan's own proportions kept as far as rooms for
 * faces and their words allow: columns and rows that are nearer than a cell are moved apart.
 * Gives the centre of each face's cell.
 */
export function place(dishes: Dish[], room: Room): Placed[] {
  const easts = spread(dishes.map((d) => d.east), room.width, room.cell);
  const norths = spread(dishes.map((d) => -d.north), room.height, room.line);
  return dishes.map((dish) => ({
    position: dish.position,
    x: easts(dish.east),
    y: norths(-dish.north),
  }));
}

/** A map from metres to px: linear, but with at least `least` px between rows of dishes. */
function spread(values: number[], length: number, least: number): (value: number) => number {
  const rows = groups(values);
  const first = rows[0];
  const last = rows.at(-1);
  if (first === undefined || last === undefined) return () => length / 2;
  const room = length - least;
  if (rows.length === 1) return () => length / 2;
  // Where there is no room for all rows apart, they share what there is.
  const apart = Math.min(least, room / (rows.length - 1));
  const span = last - first;
  const at: number[] = [];
  for (const row of rows) {
    const wish = least / 2 + ((row - first) / span) * room;
    const before = at.at(-1);
    at.push(before === undefined ? wish : Math.max(wish, before + apart));
  }
  for (let i = at.length - 1, limit = length - least / 2; i >= 0; i--) {
    const now = at[i];
    if (now !== undefined) at[i] = Math.min(now, limit);
    limit = (at[i] ?? limit) - apart;
  }
  return (value) => {
    let best = 0;
    rows.forEach((row, i) => {
      if (Math.abs(row - value) < Math.abs((rows[best] ?? 0) - value)) best = i;
    });
    const near = rows[best] ?? value;
    // A dish a few metres off its row stays a little off it, as on the ground.
    const off = span === 0 ? 0 : ((value - near) / span) * room;
    return Math.round((at[best] ?? length / 2) + Math.max(-28, Math.min(28, off)));
  };
}

/** Values that lie near each other, taken as one row at their mean. */
function groups(values: number[]): number[] {
  const sorted = [...values].sort((a, b) => a - b);
  const span = (sorted.at(-1) ?? 0) - (sorted[0] ?? 0);
  const near = span / 7;
  const rows: number[][] = [];
  for (const value of sorted) {
    const row = rows.at(-1);
    const start = row?.[0];
    if (row && start !== undefined && value - start <= near) row.push(value);
    else rows.push([value]);
  }
  return rows.map((row) => row.reduce((sum, value) => sum + value, 0) / row.length);
}

/** Contour lines across a plan so large: decoration that says "ground", never a height. */
export function contours(width: number, height: number): string[] {
  const lines: string[] = [];
  for (let y = 40; y < height; y += 92) {
    const a = y % 184 < 92 ? 26 : -18;
    lines.push(
      `M20 ${y + 22}C${width * 0.2} ${y - a} ${width * 0.36} ${y + a + 18} ${width * 0.52} ${y + 8}` +
        `S${width * 0.8} ${y - a - 14} ${width - 20} ${y + 20}`,
    );
  }
  return lines;
}

// Figures from the back end, made fit to stand together on one page, and walked by keyboard.

/**
 * Gives every id of an SVG text a prefix of its own. Several figures stand on one page, each with
 * ids that are unique only within itself; without this a clip would be taken from a neighbour.
 */
export function apart(svg: string, prefix: string): string {
  return svg
    .replace(/(<[^>]*?\s)id="([^"]+)"/g, (_, before: string, id: string) => {
      return `${before}id="${prefix}${id}"`;
    })
    .replace(/url\(#([^)]+)\)/g, (_, id: string) => `url(#${prefix}${id})`)
    .replace(/\shref="#([^"]+)"/g, (_, id: string) => ` href="#${prefix}${id}"`)
    // Two labels in one target are two words to whoever listens.
    .replaceAll('</text><text', '</text> <text');
}

/**
 * The same figure as a picture only: nothing in it can be reached by keyboard, and no part has a
 * name of its own, which only a target may have.
 */
export function still(svg: string): string {
  return svg.replace(/<g class="target"[^>]*>/g, (target) =>
    target.replace(/\s(?:tabindex|role|aria-label)="[^"]*"/g, ''),
  );
}

/** Where an arrow key leads in a ring of `count` targets; null for a key that does not walk. */
export function walk(key: string, at: number, count: number): number | null {
  if (count === 0) return null;
  switch (key) {
    case 'ArrowRight':
    case 'ArrowDown':
      return (at + 1) % count;
    case 'ArrowLeft':
    case 'ArrowUp':
      return (at - 1 + count) % count;
    case 'Home':
      return 0;
    case 'End':
      return count - 1;
    default:
      return null;
  }
}

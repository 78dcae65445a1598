// What an eye finds wrong in the layout, as a list of {rule, where, what}.
// Argument: the least side of a target in CSS px.
const [least] = arguments;
const found = [];
const EDGE = 1;
const path = (element) => {
  const one = (e) => {
    const name = e.getAttribute?.('aria-label') ?? '';
    const text = name || (e.textContent ?? '').replace(/\s+/g, ' ').trim();
    return `${e.tagName.toLowerCase()}${e.classList.length ? `.${[...e.classList].filter((c) => !c.startsWith('svelte-')).join('.')}` : ''} “${text.slice(0, 40)}”`;
  };
  return one(element);
};
const note = (rule, element, what) => found.push({ rule, where: path(element), what });
const style = (element) => getComputedStyle(element);
const visible = (element) =>
  element.checkVisibility({ visibilityProperty: true, opacityProperty: true }) &&
  !element.closest('.heard') &&
  element.getClientRects().length > 0;
const scrolls = (element, axis) => {
  const how = style(element)[axis === 'x' ? 'overflowX' : 'overflowY'];
  return how === 'auto' || how === 'scroll';
};
const ancestors = (element) => {
  const list = [];
  for (let e = element.parentElement; e; e = e.parentElement) list.push(e);
  return list;
};
const inScroller = (element, axis) =>
  ancestors(element).some(
    (e) =>
      scrolls(e, axis) &&
      (axis === 'x' ? e.scrollWidth > e.clientWidth : e.scrollHeight > e.clientHeight),
  );
/** Can be brought into view by scrolling something inside `limit`. */
function inScrollerBelow(element, limit) {
  for (let e = element; e && e !== limit; e = e.parentElement) {
    if (scrolls(e, 'y') && e.scrollHeight > e.clientHeight) return true;
  }
  return false;
}
const root = document.scrollingElement;
if (root.scrollWidth > root.clientWidth + EDGE) {
  note('sideways', root, `the page is ${root.scrollWidth} px wide in ${root.clientWidth}`);
}
const rects = (node) => {
  const range = document.createRange();
  range.selectNodeContents(node);
  return [...range.getClientRects()].filter((box) => box.width >= 1 && box.height >= 1);
};
const wordsOf = (element) => {
  const list = [];
  const walker = document.createTreeWalker(element, NodeFilter.SHOW_TEXT);
  for (let node = walker.nextNode(); node; node = walker.nextNode()) {
    if (node.data.trim() && node.parentElement && visible(node.parentElement)) list.push(node);
  }
  return list;
};
const cuts = (how) => how === 'hidden' || how === 'clip';
for (const element of document.body.querySelectorAll('*')) {
  if (element.closest('svg') || !visible(element)) continue;
  const { overflowX, overflowY } = style(element);
  const wide = element.scrollWidth - element.clientWidth;
  const high = element.scrollHeight - element.clientHeight;
  if ((cuts(overflowX) && wide > EDGE) || (cuts(overflowY) && high > EDGE)) {
    const pane = element.getBoundingClientRect();
    for (const node of wordsOf(element)) {
      if (inScrollerBelow(node.parentElement, element)) continue;
      const cut = rects(node).some((box) => {
        // A line's box has room above and below its letters.
        const room = box.height / 5;
        const side = box.left < pane.left - EDGE || box.right > pane.right + EDGE;
        const end = box.top < pane.top - room || box.bottom > pane.bottom + room;
        return (cuts(overflowX) && side) || (cuts(overflowY) && end);
      });
      if (cut) note('clipped', node.parentElement, `by ${path(element)}`);
    }
  }
  // Sideways scrolling inside a page hides what nobody looks for; tables alone may.
  if (scrolls(element, 'x') && wide > EDGE && !element.querySelector('table')) {
    note('sideways', element, `${wide} px hidden to the side`);
  }
}
// Words: none beyond the edge, none too small, none over others.
const words = [];
for (const node of wordsOf(document.body)) {
  const element = node.parentElement;
  const inFigure = element.closest('svg') !== null;
  if (!inFigure) {
    const size = parseFloat(style(element).fontSize);
    if (size < 16) note('small', element, `${size} px`);
  }
  for (const box of rects(node)) {
    const outX = box.left < -EDGE || box.right > innerWidth + EDGE;
    const outY = box.top < -EDGE || box.bottom > innerHeight + EDGE;
    if (outX && !inScroller(element, 'x')) note('outside', element, 'beyond the side');
    const page = root.scrollHeight > root.clientHeight;
    if (outY && !page && !inScroller(element, 'y')) {
      note('outside', element, 'above or below what can be scrolled to');
    }
    if (!inFigure) words.push({ element, box });
  }
}
const inView = (box, element) => {
  // Cut down to what the scrolling panes around it show.
  let { left, top, right, bottom } = box;
  for (const e of ancestors(element)) {
    if (style(e).overflowX === 'visible' && style(e).overflowY === 'visible') continue;
    const pane = e.getBoundingClientRect();
    left = Math.max(left, pane.left);
    top = Math.max(top, pane.top);
    right = Math.min(right, pane.right);
    bottom = Math.min(bottom, pane.bottom);
  }
  left = Math.max(left, 0);
  top = Math.max(top, 0);
  right = Math.min(right, innerWidth);
  bottom = Math.min(bottom, innerHeight);
  return right - left > EDGE && bottom - top > EDGE ? { left, top, right, bottom } : null;
};
const meet = (a, b) => ({
  x: Math.min(a.right, b.right) - Math.max(a.left, b.left),
  y: Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top),
});
/** False where one of them lies under a ground that hides it, such as a bar that stays in place. */
const opaque = (element, below) => {
  for (let e = element; e && !e.contains(below); e = e.parentElement) {
    const ground = style(e).backgroundColor;
    if (ground !== 'transparent' && !/, 0\)$/.test(ground)) return true;
  }
  return false;
};
const bothShow = (one, other) => {
  const x = (Math.max(one.box.left, other.box.left) + Math.min(one.box.right, other.box.right)) / 2;
  const y = (Math.max(one.box.top, other.box.top) + Math.min(one.box.bottom, other.box.bottom)) / 2;
  const hit = document.elementFromPoint(x, y);
  if (!hit) return true;
  const under = hit.contains(one.element) || one.element.contains(hit) ? other : one;
  return !(opaque(hit, under.element) && inScroller(under.element, 'y'));
};
const shownWords = words
  .map(({ element, box }) => ({ element, box: inView(box, element), high: box.height }))
  .filter(({ box }) => box !== null);
for (const [i, one] of shownWords.entries()) {
  for (const other of shownWords.slice(i + 1)) {
    if (one.element === other.element) continue;
    // What lies under a bar that stays while the page scrolls can be scrolled out from under it.
    if (stays(one.element) !== stays(other.element)) continue;
    const { x, y } = meet(one.box, other.box);
    // A line's box reaches a little into its neighbours; letters don't.
    if (x > 2 && y > 0.45 * Math.min(one.high, other.high) && bothShow(one, other)) {
      note('words over words', one.element, `with ${path(other.element)}`);
    }
  }
}
// Targets: large enough, apart from each other, and reached where they are drawn.
const TARGETS =
  'button, a[href], input:not([type="file"]), select, textarea, summary, [role="button"], [role="link"]';
const targets = [];
for (const element of document.querySelectorAll(TARGETS)) {
  if (element.closest('svg')) continue;
  const at = element.matches('input[type="radio"], input[type="checkbox"]')
    ? (element.closest('label') ?? element)
    : element;
  if (!visible(at) || at.closest('[inert]')) continue;
  const box = at.getBoundingClientRect();
  if (box.width < least - 0.5 || box.height < least - 0.5) {
    note('target', at, `${Math.round(box.width)} × ${Math.round(box.height)} px`);
  }
  const part = inView(box, at);
  if (part) targets.push({ element: at, box: part });
}
function stays(element) {
  for (let at = element; at; at = at.parentElement) {
    if (getComputedStyle(at).position === 'sticky') return true;
  }
  return false;
}
/** Whether a target can be reached when it is scrolled to the middle; the page is put back. */
function comesOut(element) {
  const scrolled = [];
  for (let at = element.parentElement; at; at = at.parentElement) scrolled.push([at, at.scrollTop]);
  element.scrollIntoView({ block: 'center' });
  const box = element.getBoundingClientRect();
  const hit = document.elementFromPoint((box.left + box.right) / 2, (box.top + box.bottom) / 2);
  for (const [at, top] of scrolled) at.scrollTop = top;
  return Boolean(hit) && (element.contains(hit) || hit.contains(element));
}
for (const [i, one] of targets.entries()) {
  for (const other of targets.slice(i + 1)) {
    if (one.element.contains(other.element) || other.element.contains(one.element)) continue;
    // What lies under a bar that stays while the page scrolls can be scrolled out from under it.
    if (stays(one.element) !== stays(other.element)) continue;
    const { x, y } = meet(one.box, other.box);
    if (x > EDGE && y > EDGE) note('targets overlap', one.element, `with ${path(other.element)}`);
  }
  const { left, top, right, bottom } = one.box;
  const hit = document.elementFromPoint((left + right) / 2, (top + bottom) / 2);
  if (hit && stays(hit) && !stays(one.element)) {
    if (!comesOut(one.element)) note('covered for good', one.element, `by ${path(hit)}`);
    continue;
  }
  const label = one.element.closest('label');
  if (hit && !one.element.contains(hit) && !hit.contains(one.element) && !label?.contains(hit)) {
    note('covered', one.element, `by ${path(hit)}`);
  }
}
// The one main action of a page, once it can be taken, is where the thumbs are, without scrolling.
for (const element of document.querySelectorAll('button.main:not(.waits)')) {
  if (!visible(element)) continue;
  const box = element.getBoundingClientRect();
  const part = inView(box, element);
  if (!part || part.bottom - part.top < box.height - 2) note('main action', element, 'not in view');
}
const seen = new Set();
return found.filter((one) => {
  const key = JSON.stringify(one);
  return !seen.has(key) && seen.add(key);
});

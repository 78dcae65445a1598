import { describe, expect, it } from 'vitest';
import { apart, still, walk } from './figure';

const clip = '<svg><clipPath id="c1"><path d="M0 0"/></clipPath><g clip-path="url(#c1)"></g></svg>';

describe('apart', () => {
  it('gives two copies of one figure different ids, and each refers to its own', () => {
    const a = apart(clip, 'a-');
    expect(a).toContain('id="a-c1"');
    expect(a).toContain('url(#a-c1)');
    const b = apart(clip, 'b-');
    expect(b).toContain('id="b-c1"');
    expect(b).not.toContain('a-c1');
    expect(b).not.toContain('"c1"');
  });
  it('leaves the names of targets alone', () => {
    const target = '<g class="target" data-id="leak" role="button"></g>';
    expect(apart(target, 'a-')).toBe(target);
  });
  it('parts two labels by a space', () => {
    expect(apart('<text>leak</text><text>voided</text>', 'a')).toContain('</text> <text>');
  });
});

describe('still', () => {
  it('leaves nothing that the keyboard could reach, and names the whole alone', () => {
    const target = '<g class="target" data-id="a" role="button" tabindex="0" aria-label="b">';
    const quiet = still(`<svg role="img" aria-label="all">${target}</g></svg>`);
    expect(quiet).toBe('<svg role="img" aria-label="all"><g class="target" data-id="a"></g></svg>');
  });
});

describe('walk', () => {
  it('goes round the ring in both directions', () => {
    expect(walk('ArrowRight', 12, 13)).toBe(0);
    expect(walk('ArrowLeft', 0, 13)).toBe(12);
    expect(walk('ArrowDown', 3, 13)).toBe(4);
    expect(walk('ArrowUp', 3, 13)).toBe(2);
  });
  it('knows first and last', () => {
    expect(walk('Home', 5, 13)).toBe(0);
    expect(walk('End', 5, 13)).toBe(12);
  });
  it('leaves every other key alone, and an empty ring', () => {
    expect(walk('Tab', 5, 13)).toBeNull();
    expect(walk('ArrowRight', 0, 0)).toBeNull();
  });
});

import { describe, expect, it } from 'vitest';
import { sizeInWords, toBase64 } from './files';

describe('toBase64', () => {
  it('gives the test vectors of RFC 4648, section 10', () => {
    const vectors: [string, string][] = [
      ['', ''],
      ['f', 'Zg=='],
      ['fo', 'Zm8='],
      ['foo', 'Zm9v'],
      ['foob', 'Zm9vYg=='],
      ['fooba', 'Zm9vYmE='],
      ['foobar', 'Zm9vYmFy'],
    ];
    for (const [plain, coded] of vectors)
      expect(toBase64(new TextEncoder().encode(plain))).toBe(coded);
  });

  it('keeps every byte of a large file', () => {
    const bytes = Uint8Array.from({ length: 200_003 }, (_, at) => (at * 31) % 256);
    const back = Uint8Array.from(atob(toBase64(bytes)), (one) => one.charCodeAt(0));
    expect(back).toEqual(bytes);
  });
});

describe('sizeInWords', () => {
  it('is short', () => {
    expect(sizeInWords(4_240_000)).toBe('4.2 MB');
    expect(sizeInWords(310_400)).toBe('310 kB');
    expect(sizeInWords(12)).toBe('12 bytes');
  });
});

// Files that a person picks, as the back end takes them.

/** Bytes in base64, in pieces that no call stack minds. */
export function toBase64(bytes: Uint8Array): string {
  let text = '';
  for (let at = 0; at < bytes.length; at += 0x8000) {
    text += String.fromCharCode(...bytes.subarray(at, at + 0x8000));
  }
  return btoa(text);
}

export async function readBase64(file: File): Promise<string> {
  return toBase64(new Uint8Array(await file.arrayBuffer()));
}

/** "4.2 MB", "310 kB": how large a file is, for people. */
export function sizeInWords(bytes: number): string {
  if (bytes >= 1_000_000) return `${(bytes / 1_000_000).toFixed(1)} MB`;
  return bytes >= 1000 ? `${Math.round(bytes / 1000)} kB` : `${bytes} bytes`;
}

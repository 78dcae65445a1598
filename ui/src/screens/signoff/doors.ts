// Through which door this page is shown.

/** True in the program's own window, false in a browser. */
export function inTheWindow(): boolean {
  return '__TAURI_INTERNALS__' in globalThis;
}

// The rules of typing a PIN: six digits or more, and the button says how many are missing.

export const SHORTEST = 6;
export const LONGEST = 24;

/** What a key makes of the digits so far. */
export function press(pin: string, key: string): string {
  if (key === 'erase' || key === 'Backspace') return pin.slice(0, -1);
  if (key === 'clear' || key === 'Escape') return '';
  if (/^[0-9]$/.test(key) && pin.length < LONGEST) return pin + key;
  return pin;
}

const NUMBERS = ['No', 'One', 'Two', 'Three', 'Four', 'Five', 'Six'];

/** What is missing, in words; null when enough digits are there. */
export function missing(pin: string): string | null {
  const short = SHORTEST - pin.length;
  if (short <= 0) return null;
  if (short === SHORTEST) return 'Six digits';
  return `${NUMBERS[short] ?? String(short)} more digit${short === 1 ? '' : 's'}`;
}

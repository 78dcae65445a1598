// Addresses of the screens, as they stand behind the # of the page's address.

export type Route =
  | { screen: 'people' }
  | { screen: 'yard' }
  | { screen: 'dish'; position: string }
  | { screen: 'record'; record: string; step: string | null; form: boolean }
  | { screen: 'weather'; record: string }
  | { screen: 'alignment'; record: string; step: string }
  | { screen: 'review'; record: string }
  /** A calculation with what a record's step gave it. */
  | { screen: 'calculation_of'; record: string; step: string }
  | { screen: 'report'; position: string }
  | { screen: 'locks' }
  | { screen: 'ledger' }
  | { screen: 'exchange' }
  | { screen: 'calculations'; name: string | null }
  | { screen: 'lost'; hash: string };

const PLAIN = ['people', 'yard', 'locks', 'ledger', 'exchange'] as const;

/** Reads the part of the address from `#` on. An empty one is the yard. */
export function read(hash: string): Route {
  const parts = pieces(hash);
  if (!parts) return { screen: 'lost', hash };
  const [screen, first, second, third, ...rest] = parts;
  if (screen === undefined) return { screen: 'yard' };
  if (rest.length === 0) {
    for (const plain of PLAIN) {
      if (screen === plain && first === undefined) return { screen: plain };
    }
    if (screen === 'calculations' && second === undefined) {
      return { screen: 'calculations', name: first ?? null };
    }
    if (first !== undefined && second === undefined) {
      if (screen === 'dish') return { screen: 'dish', position: first };
      if (screen === 'report') return { screen: 'report', position: first };
      if (screen === 'review') return { screen: 'review', record: first };
      if (screen === 'record') return { screen: 'record', record: first, step: null, form: false };
    }
    if (screen === 'record' && first !== undefined) {
      if (second === 'form' && third === undefined) {
        return { screen: 'record', record: first, step: null, form: true };
      }
      if (second === 'weather' && third === undefined) return { screen: 'weather', record: first };
      if (second === 'calculation' && third !== undefined) {
        return { screen: 'calculation_of', record: first, step: third };
      }
      if (second === 'step' && third !== undefined) {
        return { screen: 'record', record: first, step: third, form: false };
      }
    }
    if (screen === 'alignment' && first !== undefined && second !== undefined && !third) {
      return { screen: 'alignment', record: first, step: second };
    }
  }
  return { screen: 'lost', hash };
}

function pieces(hash: string): string[] | null {
  try {
    return hash
      .replace(/^#?\/?/, '')
      .split('/')
      .filter((part) => part !== '')
      .map(decodeURIComponent);
  } catch {
    return null;
  }
}

/** Writes the address of a screen, with its `#`. */
export function write(route: Route): string {
  switch (route.screen) {
    case 'dish':
    case 'report':
      return path(route.screen, route.position);
    case 'review':
      return path('review', route.record);
    case 'alignment':
      return path('alignment', route.record, route.step);
    case 'calculation_of':
      return path('record', route.record, 'calculation', route.step);
    case 'record':
      if (route.form) return path('record', route.record, 'form');
      if (route.step !== null) return path('record', route.record, 'step', route.step);
      return path('record', route.record);
    case 'weather':
      return path('record', route.record, 'weather');
    case 'calculations':
      return route.name === null ? path('calculations') : path('calculations', route.name);
    case 'lost':
      return route.hash;
    default:
      return path(route.screen);
  }
}

function path(...parts: string[]): string {
  return `#/${parts.map(encodeURIComponent).join('/')}`;
}

type TargetLike = { screen: string; position?: string; record?: string };

/** Where a target of a list or an entry leads; the yard when it names nothing known. */
export function ofTarget(target: TargetLike): string {
  if (target.screen === 'record' && target.record) {
    return write({ screen: 'record', record: target.record, step: null, form: false });
  }
  if (target.screen === 'review' && target.record) {
    return write({ screen: 'review', record: target.record });
  }
  if (target.screen === 'signoff' && target.position) {
    return write({ screen: 'report', position: target.position });
  }
  if (target.position) return write({ screen: 'dish', position: target.position });
  return write({ screen: 'yard' });
}

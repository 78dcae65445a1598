// Which unit and which instrument a reading begins with.
import type { InstrumentChoice, StepView } from '../../generated/api';

type ReadingAsk = Extract<StepView['ask'], { kind: 'reading' }>;

export interface Setting {
  unit: string;
  /** Empty where none is asked for or none was chosen. */
  instrument: string;
}

/**
 * The instrument that this record used for the same role before, else the only one in date, else
 * none: it is then asked for. The unit is what that instrument shows, as far as the step takes it.
 */
export function usual(ask: ReadingAsk, steps: readonly StepView[]): Setting {
  const instrument =
    ask.instrument_role === null ? '' : (usedBefore(ask, steps) ?? onlyOne(ask.instruments));
  const own = ask.instruments.find((one) => one.instrument === instrument)?.unit ?? '';
  return { instrument, unit: ask.units.includes(own) ? own : ask.unit };
}

function usedBefore(ask: ReadingAsk, steps: readonly StepView[]): string | null {
  for (const step of [...steps].reverse()) {
    if (step.ask.kind !== 'reading' || step.ask.instrument_role !== ask.instrument_role) continue;
    const used = step.given.at(-1)?.instrument ?? '';
    const known = ask.instruments.find((one) => used.split(' ')[0] === one.instrument);
    if (known !== undefined) return known.instrument;
  }
  return null;
}

/** The only instrument in date; none where there are several, or only overdue ones. */
export function onlyOne(choices: readonly InstrumentChoice[]): string {
  const inDate = choices.filter((one) => !one.overdue);
  return inDate.length === 1 ? (inDate[0]?.instrument ?? '') : '';
}

/** Reads a kept setting; what the step does not know is left at its usual value. */
export function readSetting(text: string, ask: ReadingAsk, usual: Setting): Setting {
  try {
    const read = JSON.parse(text) as Partial<Setting> | null;
    const unit = ask.units.find((one) => one === read?.unit) ?? usual.unit;
    const found = ask.instruments.find((one) => one.instrument === read?.instrument);
    return { unit, instrument: found?.instrument ?? usual.instrument };
  } catch {
    return usual;
  }
}

/** Units that gauges and forms on a site show; others are a touch away. */
const USUAL = [
  'bar',
  'psi',
  'kPa',
  'MPa',
  'hPa',
  'mbar',
  '°C',
  '°F',
  'K',
  'N·m',
  'lbf·ft',
  'mm',
  'm',
  'mrad',
  '°',
  'MΩ',
  'GΩ',
  'Ω',
  'm/s',
  'km/h',
  'W/m²',
  'kW',
  '%',
  'L',
  'kg',
  'min',
  's',
  'h',
];
const SHOWN = 4;

/** The few units that are offered at once: the step's own, the instrument's, then the usual ones. */
export function offered(ask: ReadingAsk, current: string, own: string): string[] {
  if (ask.units.length <= SHOWN + 1) return ask.units;
  const rank = (unit: string): number => {
    if (unit === ask.unit) return -3;
    if (unit === own) return -2;
    if (unit === current) return -1;
    const at = USUAL.indexOf(unit.replace(/\((?:g|a|gauge|abs)\)$/, ''));
    return at < 0 ? USUAL.length : at;
  };
  return [...ask.units].sort((a, b) => rank(a) - rank(b)).slice(0, SHOWN);
}

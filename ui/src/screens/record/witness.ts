// The three outcomes of a witness point, and what an invitation must say.

export interface WitnessForm {
  outcome: '' | 'present' | 'absent' | 'open' | (string & {});
}

export function readWitness(text: string): WitnessForm {
  try {
    const read = JSON.parse(text) as { outcome?: unknown } | null;
    const outcome = read?.outcome;
    return {
      outcome: outcome === 'present' || outcome === 'absent' || outcome === 'open' ? outcome : '',
    };
  } catch {
    return { outcome: '' };
  }
}

export interface InvitationTyped {
  invited: string;
  at: string;
  evidence: string;
}

/** What is missing before the outcome can be entered; null when nothing is. */
export function witnessLacks(outcome: string, typed: InvitationTyped): string | null {
  if (outcome === 'present') return null;
  if (outcome === 'open') return 'The step stays open';
  if (outcome !== 'absent') return 'Choose what came of it';
  if (typed.invited.trim() === '') return 'Say who was invited';
  if (instant(typed.at, 'Z') === null) return 'Say when, year first';
  return typed.evidence.trim() === '' ? 'Say how it can be shown' : null;
}

/** "2026-08-27 16:30" in the site's present offset as RFC 3339; none where it is no time. */
export function instant(text: string, offset: string): string | null {
  const found = /^\s*(\d{4})-(\d{2})-(\d{2})[ T](\d{1,2}):(\d{2})\s*$/.exec(text);
  if (found === null) return null;
  const [, year, month, day, hour = '', minute] = found;
  const iso = `${year}-${month}-${day}T${hour.padStart(2, '0')}:${minute}:00`;
  const read = new Date(`${iso}Z`);
  const real = !Number.isNaN(read.getTime()) && read.toISOString().startsWith(iso.slice(0, 16));
  return real ? iso + offset : null;
}

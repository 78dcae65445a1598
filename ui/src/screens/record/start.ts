// What is told when an attempt starts: the permit, and who helps.
import type { PersonView } from '../../generated/api';

export interface Told {
  permit: string;
  /** People by their id. */
  helpers: string[];
}

/** The helpers as kept; what can't be read is nobody. */
export function readHelpers(text: string): string[] {
  try {
    const read: unknown = JSON.parse(text);
    return Array.isArray(read) ? read.filter((one) => typeof one === 'string') : [];
  } catch {
    return [];
  }
}

/** Those who were chosen, without the one who acts: nobody helps themselves. */
export function helping(chosen: readonly string[], acting: string): string[] {
  return chosen.filter((one) => one !== acting);
}

/** Those who can still be chosen; trainees too. */
export function others(
  people: readonly PersonView[],
  chosen: readonly string[],
  acting: string,
): PersonView[] {
  return people.filter((one) => one.person !== acting && !chosen.includes(one.person));
}

/** "Zaida Quiroga, trainee". */
export function described(person: PersonView): string {
  return [person.name, ...person.roles.map((role) => role.title)].join(', ');
}

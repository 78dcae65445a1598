// What the list of people says of a person.
import type { PersonView } from '../../generated/api';

/** True when the person can act on this tablet today; else `notes` say why not. */
export function may(person: PersonView): boolean {
  return person.has_pin && person.roles.length > 0;
}

/** Roles in words, and the employer. */
export function roleWords(person: PersonView): string {
  const roles = person.roles.map((role) => role.title).join(', ');
  return [roles, person.employer].filter((words) => words !== '').join(' · ');
}

/** What stands in the way of acting; null when nothing does. */
export function why(person: PersonView): string | null {
  if (person.roles.length === 0) return 'No role is held today';
  if (!person.has_pin) return 'No PIN on this tablet yet';
  return null;
}

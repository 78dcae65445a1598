//! People.

use super::{Fault, Fold, misplaced};
use crate::document::{Certified, PersonDoc};
use crate::events::{PaperRecorded, PersonCertified, PersonEnrolled};
use crate::shelf::{Key, read, write};

impl Fold<'_> {
    pub(super) fn person_enrolled(&mut self, event: PersonEnrolled) -> Result<(), Fault> {
        let key = Key::person(&event.person);
        if read::<PersonDoc>(self.shelf, &key)?.is_some() {
            return misplaced(format!("person `{}` was enrolled before it", event.person));
        }
        let document = PersonDoc {
            person: event.person,
            subject: self.header.subject().clone(),
            name: event.name,
            employer: event.employer,
            roles: event.roles,
            papers: event.papers,
            certified: Vec::new(),
            enrolled: self.stamp.clone(),
        };
        Ok(write(self.shelf, &key, &document)?)
    }

    pub(super) fn paper_recorded(&mut self, event: PaperRecorded) -> Result<(), Fault> {
        let mut person = self.person(&event.person)?;
        person.papers.push(event.paper);
        Ok(write(self.shelf, &Key::person(&person.person), &person)?)
    }

    pub(super) fn person_certified(&mut self, event: PersonCertified) -> Result<(), Fault> {
        let mut person = self.person(&event.person)?;
        person.certified.push(Certified {
            key: event.key,
            certificate: event.certificate,
            entry: self.stamp.entry,
        });
        Ok(write(self.shelf, &Key::person(&person.person), &person)?)
    }
}

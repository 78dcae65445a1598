//! Opening records, starting and interrupting attempts, noting the weather.

use ledger::Subject;

use super::{Answered, Asked, needs_reason, refuse};
use crate::document::{AdoptedDoc, PersonDoc, PositionDoc, SiteDoc};
use crate::events::{AttemptInterrupted, AttemptStarted, RecordOpened, Role, WeatherNoted};
use crate::shelf::{Key, read};
use crate::source::{Checklist, Criteria, limits_lacking};

impl Asked<'_> {
    pub(super) fn open_record(
        &self,
        person: &PersonDoc,
        event: &RecordOpened,
        role: Role,
    ) -> Answered {
        self.may_write(person, role)?;
        self.holds(person, role, self.actor.at)?;
        if read::<PositionDoc>(self.shelf, &Key::position(&event.position))?.is_none() {
            return refuse(
                "unknown_position",
                format!("There is no dish position “{}”.", event.position),
                "Check the label on the dish; code and check letter must both fit.",
            );
        }
        let site: Option<SiteDoc> = read(self.shelf, &Key::site())?;
        let adopted = site.is_some_and(|site| {
            let fits = |adopted: Option<&crate::document::Adopted>,
                        named: &crate::events::SourceRevision| {
                adopted.is_some_and(|adopted| {
                    adopted.revision == named.revision && adopted.hash == named.hash
                })
            };
            fits(site.checklists.get(&event.checklist.id), &event.checklist)
                && fits(site.criteria.get(&event.criteria.id), &event.criteria)
        });
        if !adopted {
            return refuse(
                "not_adopted",
                "Checklist or criteria are not the revision that the site adopted last.",
                "Open the record with the adopted revisions, or adopt the newer ones first.",
            );
        }
        let key = Key::checklist(&event.checklist.id, &event.checklist.revision);
        let checklist = read::<AdoptedDoc<Checklist>>(self.shelf, &key)?;
        let key = Key::criteria(&event.criteria.id, &event.criteria.revision);
        let criteria = read::<AdoptedDoc<Criteria>>(self.shelf, &key)?;
        let (Some(checklist), Some(criteria)) = (checklist, criteria) else {
            return refuse(
                "not_adopted",
                "The adopted checklist or criteria can't be found.",
                "Rebuild the documents from the entries, then open the record.",
            );
        };
        let lacking = limits_lacking(&checklist.read, &criteria.read);
        if lacking.is_empty() {
            return Ok(());
        }
        refuse(
            "limits_lacking",
            format!("The adopted criteria have no limit {}.", lacking.join(", ")),
            "Adopt criteria that hold every limit that the checklist names.",
        )
    }

    pub(super) fn start(
        &self,
        person: &PersonDoc,
        record: &Subject,
        event: &AttemptStarted,
    ) -> Answered {
        let record = self.record(record)?;
        let checklist = self.checklist(&record)?;
        self.performs(person, event.role, &checklist, &event.worked_at)?;
        self.papers(person, &checklist, &event.worked_at)?;
        self.not_in_future(&event.worked_at)?;
        if let Some(open) = record.latest().filter(|attempt| attempt.state.is_open()) {
            return refuse(
                "attempt_still_open",
                format!("Attempt {} is still in progress.", open.number),
                "Finish it, or interrupt it with the reason, before the next one starts.",
            );
        }
        let next = u32::try_from(record.attempts.len() + 1).unwrap_or(u32::MAX);
        if event.attempt != next {
            return refuse(
                "attempt_number",
                format!("The next attempt of this record is number {next}, not {}.", event.attempt),
                format!("Start attempt {next}."),
            );
        }
        if checklist.step(&event.from_step).is_none() {
            return refuse(
                "unknown_step",
                format!("The checklist has no step “{}”.", event.from_step),
                "Choose one of its steps.",
            );
        }
        if event.attempt == 1 {
            let first = checklist.first_step().map(|step| step.id.as_str());
            if first != Some(event.from_step.as_str()) {
                return refuse(
                    "first_attempt_from_start",
                    "The first attempt begins at the first step.",
                    format!("Begin at “{}”.", first.unwrap_or("the first step")),
                );
            }
            return Ok(());
        }
        needs_reason(event.reason.as_deref().unwrap_or(""), "Another attempt")
    }

    pub(super) fn interrupt(
        &self,
        person: &PersonDoc,
        record: &Subject,
        event: &AttemptInterrupted,
    ) -> Answered {
        let record = self.record(record)?;
        self.may_write(person, event.role)?;
        self.holds(person, event.role, &event.worked_at)?;
        self.open_attempt(&record, event.attempt)?;
        self.not_in_future(&event.worked_at)?;
        needs_reason(&event.reason, "An interruption")
    }

    pub(super) fn weather(
        &self,
        person: &PersonDoc,
        record: &Subject,
        event: &WeatherNoted,
    ) -> Answered {
        let record = self.record(record)?;
        self.may_write(person, event.role)?;
        self.holds(person, event.role, &event.worked_at)?;
        self.open_attempt(&record, event.attempt)?;
        self.not_in_future(&event.worked_at)
    }
}

//! The fold: from entries to documents, one entry at a time.
//!
//! An entry is never dropped. An unknown kind is kept and counted, a known kind with bad bytes or
//! in the wrong place becomes a note on the item that it belongs to, and blocks that item only.

mod adoption;
mod assets;
mod attempt;
mod measured;
mod outcome;
mod papers;
mod people;
mod work;

pub(crate) use outcome::performers;
pub(crate) use work::fits;

use ledger::{Entry, Header, Subject};

use crate::Moment;
use crate::document::{
    AdoptedDoc, ChainHeard, PersonDoc, PositionDoc, RecordDoc, Stamp, StatusDoc, Unread,
    UnreadKind, UnreadWhy,
};
use crate::events::{Event, Role, Unreadable};
use crate::proof;
use crate::shelf::{Key, Shelf, ShelfError, read, write};
use crate::source::Checklist;

/// The version of the documents. A shelf with another one is thrown away and rebuilt.
pub const PROJECTION_VERSION: u32 = 3;

/// The projection could not be written. The entry itself is never the reason.
#[derive(Debug, thiserror::Error)]
pub enum ProjectError {
    /// The shelf could not be read or written.
    #[error("the projection could not be carried on")]
    Shelf(#[from] ShelfError),
}

/// Why one entry was not taken into account.
#[derive(Debug)]
pub(crate) enum Fault {
    /// It contradicts what stands before it.
    Misplaced(String),
    /// The shelf failed; this is not the entry's doing.
    Shelf(ShelfError),
}

impl From<ShelfError> for Fault {
    fn from(error: ShelfError) -> Self {
        Self::Shelf(error)
    }
}

pub(crate) fn misplaced<T>(what: impl Into<String>) -> Result<T, Fault> {
    Err(Fault::Misplaced(what.into()))
}

/// One entry at work on a shelf.
pub(crate) struct Fold<'f> {
    pub(crate) header: &'f Header,
    pub(crate) stamp: Stamp,
    pub(crate) shelf: &'f mut dyn Shelf,
}

/// Projects one entry onto the shelf. Entries of a chain come in the order of their numbers, each
/// once; the caller writes entry and documents in one transaction.
///
/// # Errors
/// Only faults of the shelf. Whatever is wrong with an entry becomes part of the documents.
pub fn project(entry: &Entry, shelf: &mut dyn Shelf) -> Result<(), ProjectError> {
    let header = entry.header();
    let claimed = Moment::parse(header.claimed());
    let stamp = Stamp {
        entry: *entry.id(),
        chain: *header.chain(),
        number: header.number(),
        claimed: claimed.clone().unwrap_or_else(|_| Moment::unreadable()),
        person: header.person().to_string(),
        role: None,
    };
    let mut fold = Fold { header, stamp, shelf };
    fold.count()?;
    let unread = if claimed.is_err() {
        Some((
            UnreadWhy::Malformed,
            format!("its claimed time “{}” can't be read", header.claimed()),
        ))
    } else {
        fold.take(entry)?
    };
    if let Some((why, what)) = unread {
        fold.note_unread(why, what)?;
    }
    Ok(())
}

impl Fold<'_> {
    /// Takes an entry into the documents, or says why not.
    fn take(&mut self, entry: &Entry) -> Result<Option<(UnreadWhy, String)>, ShelfError> {
        let kind = self.header.kind();
        let Some(payload) = entry.payload() else {
            return Ok(Some((
                UnreadWhy::Absent,
                format!("the content of a `{kind}` entry is not here"),
            )));
        };
        if ledger::kinds::OWN.contains(&kind) {
            return settle(self.own(kind, payload));
        }
        let event = match Event::read(kind, self.header.kind_version(), payload) {
            Ok(event) => event,
            Err(Unreadable::Newer) => {
                let what = format!(
                    "kind `{kind}` version {} needs a newer version of this program",
                    self.header.kind_version()
                );
                return Ok(Some((UnreadWhy::Newer, what)));
            }
            Err(Unreadable::Malformed(what)) => {
                let what = format!("the content of a `{kind}` entry does not fit its kind: {what}");
                return Ok(Some((UnreadWhy::Malformed, what)));
            }
        };
        settle(self.event(event))
    }

    fn event(&mut self, event: Event) -> Result<(), Fault> {
        match event {
            Event::PersonEnrolled(event) => self.person_enrolled(*event),
            Event::PaperRecorded(event) => self.paper_recorded(*event),
            Event::PersonCertified(event) => self.person_certified(*event),
            Event::InstrumentRegistered(event) => self.instrument_registered(*event),
            Event::InstrumentCalibrated(event) => self.instrument_calibrated(*event),
            Event::PositionRegistered(event) => self.position_registered(*event),
            Event::SerialFitted(event) => self.serial_fitted(*event),
            Event::ChecklistAdopted(event) => self.checklist_adopted(*event),
            Event::CriteriaAdopted(event) => self.criteria_adopted(*event),
            Event::RetestRulesAdopted(event) => self.retest_rules_adopted(*event),
            Event::DishDesignAdopted(event) => self.dish_design_adopted(*event),
            Event::SiteDescribed(event) => self.site_described(*event),
            Event::RecordOpened(event) => self.record_opened(*event),
            Event::AttemptStarted(event) => self.attempt_started(*event),
            Event::AttemptInterrupted(event) => self.attempt_interrupted(*event),
            Event::WeatherNoted(event) => self.weather_noted(*event),
            Event::AnswerGiven(event) => self.answer_given(*event),
            Event::SurveyTaken(event) => self.survey_taken(*event),
            Event::SeriesImported(event) => self.series_imported(*event),
            Event::HoldStarted(event) => self.hold_started(*event),
            Event::HoldEnded(event) => self.hold_ended(*event),
            Event::CorrectionMade(event) => self.correction_made(*event),
            Event::TranscriptionConfirmed(event) => self.transcription_confirmed(*event),
            Event::StepWitnessed(event) => self.step_witnessed(*event),
            Event::AttemptFinished(event) => self.attempt_finished(*event),
            Event::AttemptWithdrawn(event) => self.attempt_withdrawn(*event),
            Event::VerdictReached(event) => self.verdict_reached(*event),
            Event::RecordReviewed(event) => self.record_reviewed(*event),
            Event::FindingRaised(event) => self.finding_raised(*event),
            Event::FindingClosed(event) => self.finding_closed(*event),
            Event::ReportIssued(event) => self.report_issued(*event),
            Event::ReportSigned(event) => self.report_signed(*event),
        }
    }

    fn count(&mut self) -> Result<(), ShelfError> {
        let mut status: StatusDoc = read(self.shelf, &Key::status())?.unwrap_or_default();
        status.projection_version = PROJECTION_VERSION;
        status.entries += 1;
        let heard = ChainHeard {
            number: self.stamp.number,
            entry: self.stamp.entry,
            claimed: self.stamp.claimed.clone(),
        };
        status.chains.insert(self.stamp.chain, heard);
        write(self.shelf, &Key::status(), &status)
    }

    fn note_unread(&mut self, why: UnreadWhy, what: String) -> Result<(), ShelfError> {
        let unread = Unread {
            entry: self.stamp.entry,
            kind: self.header.kind().to_string(),
            version: self.header.kind_version(),
            why,
            what,
        };
        let mut status: StatusDoc = read(self.shelf, &Key::status())?.unwrap_or_default();
        if why == UnreadWhy::Newer {
            let counted = status
                .newer
                .entry(unread.kind.clone())
                .or_insert(UnreadKind { version: unread.version, entries: 0 });
            counted.version = counted.version.max(unread.version);
            counted.entries += 1;
        } else {
            status.unread.push(unread.clone());
        }
        write(self.shelf, &Key::status(), &status)?;

        let subject = self.header.subject().clone();
        let key = Key::unread(&subject);
        let mut all: Vec<Unread> = read(self.shelf, &key)?.unwrap_or_default();
        all.push(unread);
        write(self.shelf, &key, &all)?;

        if let Some(mut record) = read::<RecordDoc>(self.shelf, &Key::record(&subject))? {
            record.unread = all;
            self.put_record(&record)?;
            self.refresh_proof(&record.position, &record.requirement)?;
        } else if let Some(position) = self.position_of(&subject)? {
            let requirements: Vec<String> = position.proofs.keys().cloned().collect();
            for requirement in requirements {
                self.refresh_proof(&position.position, &requirement)?;
            }
        }
        Ok(())
    }

    fn position_of(&self, subject: &Subject) -> Result<Option<PositionDoc>, ShelfError> {
        let Some(code) = read::<String>(self.shelf, &Key::position_of(subject))? else {
            return Ok(None);
        };
        read(self.shelf, &Key::position(&code))
    }

    pub(crate) fn stamp_as(&self, role: Role) -> Stamp {
        Stamp { role: Some(role), ..self.stamp.clone() }
    }

    pub(crate) fn record(&self) -> Result<RecordDoc, Fault> {
        match read(self.shelf, &Key::record(self.header.subject()))? {
            Some(record) => Ok(record),
            None => misplaced("it is about a record that was not opened before it"),
        }
    }

    pub(crate) fn put_record(&mut self, record: &RecordDoc) -> Result<(), ShelfError> {
        write(self.shelf, &Key::record(&record.record), record)
    }

    pub(crate) fn checklist_of(&self, record: &RecordDoc) -> Result<Checklist, Fault> {
        let key = Key::checklist(&record.checklist.id, &record.checklist.revision);
        match read::<AdoptedDoc<Checklist>>(self.shelf, &key)? {
            Some(adopted) => Ok(adopted.read),
            None => misplaced("the checklist of its record was not adopted before it"),
        }
    }

    /// The person of the entry, who must be enrolled.
    pub(crate) fn person(&self, id: &str) -> Result<PersonDoc, Fault> {
        match read(self.shelf, &Key::person(id))? {
            Some(person) => Ok(person),
            None => misplaced(format!("person `{id}` was not enrolled before it")),
        }
    }

    /// The entry's person, whose certified key must have signed it in the role that it names.
    pub(crate) fn bound(&self, role: Role) -> Result<PersonDoc, Fault> {
        let person = self.person(&self.stamp.person)?;
        let Some(bond) = self.header.bond() else {
            return misplaced("it needs the person's signature and has none");
        };
        if !person.certified.iter().any(|certified| certified.key == *bond.key()) {
            return misplaced("it is signed by a key that was not certified for this person");
        }
        if !role.is_named(bond.role()) {
            return misplaced("the role that was signed differs from the role in its content");
        }
        if !person.holds(role, self.stamp.claimed.day()) {
            return misplaced(format!("the person did not hold the role of {}", role.title()));
        }
        Ok(person)
    }

    /// Writes the proof of one requirement anew from the position's records.
    pub(crate) fn refresh_proof(
        &mut self,
        position: &str,
        requirement: &str,
    ) -> Result<(), ShelfError> {
        let key = Key::position(position);
        let Some(mut document) = read::<PositionDoc>(self.shelf, &key)? else { return Ok(()) };
        let mut records = Vec::new();
        for of_position in document.records.iter().filter(|one| one.requirement == requirement) {
            records.extend(read::<RecordDoc>(self.shelf, &Key::record(&of_position.record))?);
        }
        let unread: Vec<Unread> =
            read(self.shelf, &Key::unread(&document.subject))?.unwrap_or_default();
        let proof = proof::of_position(requirement, &records, &document.fitted, &unread);
        document.proofs.insert(requirement.to_owned(), proof);
        write(self.shelf, &key, &document)
    }
}

fn settle(result: Result<(), Fault>) -> Result<Option<(UnreadWhy, String)>, ShelfError> {
    match result {
        Ok(()) => Ok(None),
        Err(Fault::Misplaced(what)) => Ok(Some((UnreadWhy::Misplaced, what))),
        Err(Fault::Shelf(error)) => Err(error),
    }
}

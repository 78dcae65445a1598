//! Records and their attempts: opening, starting, stopping, weather.

use ledger::Subject;
use logbook::Key;
use logbook::document::{AdoptedDoc, AttemptDoc, RecordDoc};
use logbook::events::{
    AttemptInterrupted, AttemptStarted, Observation, RecordOpened, SourceRevision, WeatherNoted,
};
use logbook::rules::Act;
use logbook::source::Checklist;

use crate::acts::entered;
use crate::error::{AppError, Result};
use crate::logbook::Logbook;
use crate::request::Response;

impl Logbook {
    pub(super) fn open_record(
        &mut self,
        position: &str,
        checklist: &str,
        criteria: &str,
    ) -> Result<Response> {
        let dish = self.position(position)?;
        let site = self.site_document()?;
        let revision = |found: Option<&logbook::document::Adopted>, id: &str, what: &str| {
            let adopted = found.ok_or_else(|| {
                AppError::new(
                    "record.not_adopted",
                    format!("This site has adopted no {what} \"{id}\"."),
                    "Adopt it first, or check its id.",
                )
            })?;
            Ok::<_, AppError>(SourceRevision {
                id: id.to_owned(),
                revision: adopted.revision.clone(),
                hash: adopted.hash,
            })
        };
        let opened = RecordOpened {
            position: dish.position,
            checklist: revision(site.checklists.get(checklist), checklist, "checklist")?,
            criteria: revision(site.criteria.get(criteria), criteria, "criteria")?,
        };
        self.may(&Act::OpenRecord(&opened, self.role()?))?;
        let subject = self.new_subject()?;
        let entry = self.enter(&subject, &opened, &[])?;
        Ok(entered(&entry, &subject))
    }

    pub(super) fn start_attempt(
        &mut self,
        record: &str,
        from_step: Option<String>,
        reason: Option<String>,
        assisted_by: Vec<String>,
        permit: Option<String>,
    ) -> Result<Response> {
        let (subject, document) = self.record(record)?;
        let checklist = self.checklist_of(&document)?;
        let first = checklist.first_step().map(|step| step.id.clone()).unwrap_or_default();
        let started = AttemptStarted {
            attempt: u32::try_from(document.attempts.len() + 1).unwrap_or(u32::MAX),
            from_step: from_step.unwrap_or(first),
            reason,
            role: self.role()?,
            assisted_by,
            permit,
            worked_at: self.now()?,
        };
        self.may(&Act::StartAttempt(&subject, &started))?;
        let entry = self.enter(&subject, &started, &[])?;
        Ok(entered(&entry, &subject))
    }

    pub(super) fn note_weather(
        &mut self,
        record: &str,
        observations: Vec<Observation>,
    ) -> Result<Response> {
        let (subject, document) = self.record(record)?;
        let noted = WeatherNoted {
            attempt: latest(&document)?.number,
            observations,
            role: self.role()?,
            worked_at: self.now()?,
        };
        self.may(&Act::NoteWeather(&subject, &noted))?;
        let entry = self.enter(&subject, &noted, &[])?;
        Ok(entered(&entry, &subject))
    }

    pub(super) fn interrupt(&mut self, record: &str, reason: String) -> Result<Response> {
        let (subject, document) = self.record(record)?;
        let stopped = AttemptInterrupted {
            attempt: latest(&document)?.number,
            reason,
            role: self.role()?,
            worked_at: self.now()?,
        };
        self.may(&Act::Interrupt(&subject, &stopped))?;
        let entry = self.enter(&subject, &stopped, &[])?;
        Ok(entered(&entry, &subject))
    }

    /// A record by its subject.
    pub(crate) fn record(&self, typed: &str) -> Result<(Subject, RecordDoc)> {
        let subject = Self::subject(typed)?;
        let document = self.document(&Key::record(&subject))?.ok_or_else(|| {
            AppError::new(
                "record.unknown",
                format!("This logbook holds no record {subject}."),
                "Open a record for the dish first.",
            )
        })?;
        Ok((subject, document))
    }

    /// The checklist that a record fills, in the revision that it was opened with.
    pub(crate) fn checklist_of(&self, record: &RecordDoc) -> Result<Checklist> {
        let key = Key::checklist(&record.checklist.id, &record.checklist.revision);
        let adopted: Option<AdoptedDoc<Checklist>> = self.document(&key)?;
        adopted.map(|adopted| adopted.read).ok_or_else(|| {
            AppError::internal("Reading the checklist", format!("{key} is not among the documents"))
        })
    }
}

/// The attempt in hand.
pub(super) fn latest(record: &RecordDoc) -> Result<&AttemptDoc> {
    record.latest().ok_or_else(|| {
        AppError::new(
            "record.no_attempt",
            "No attempt of this record has been started.",
            "Start the first attempt.",
        )
    })
}

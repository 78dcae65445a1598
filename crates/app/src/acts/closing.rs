//! What ends an attempt: confirmation, witness, signature, verdict, review; and open items.

use ledger::EntryId;
use logbook::Key;
use logbook::document::{AdoptedDoc, AttemptDoc, FindingDoc, RecordDoc};
use logbook::events::{
    AttemptFinished, Decision, FindingClosed, FindingRaised, RecordReviewed, StepWitnessed,
    TranscriptionConfirmed, VerdictReached, Witnessing,
};
use logbook::rules::{self, Act};
use logbook::source::Criteria;

use crate::acts::entered;
use crate::acts::records::latest;
use crate::error::{AppError, Result};
use crate::logbook::Logbook;
use crate::request::{RaiseFinding, Response, Upload, Witness};
use crate::write::uploaded;

impl Logbook {
    pub(super) fn confirm_transcription(&mut self, record: &str) -> Result<Response> {
        let (subject, document) = self.record(record)?;
        let person = self.acting()?.person.person.clone();
        let confirmed = TranscriptionConfirmed {
            entries: awaiting(latest(&document)?, &person),
            role: self.role()?,
        };
        self.may(&Act::ConfirmTranscription(&subject, &confirmed))?;
        let entry = self.enter(&subject, &confirmed, &[])?;
        Ok(entered(&entry, &subject))
    }

    pub(super) fn deal_with_witness(
        &mut self,
        record: &str,
        step: String,
        witness: Witness,
    ) -> Result<Response> {
        let (subject, document) = self.record(record)?;
        let witnessing = match witness {
            Witness::Present {} => Witnessing::Present {},
            Witness::InvitedAbsent { invited, invited_at, evidence } => {
                Witnessing::InvitedAbsent { invited, invited_at, evidence }
            }
        };
        let witnessed = StepWitnessed {
            attempt: latest(&document)?.number,
            step,
            witnessing,
            role: self.role()?,
            worked_at: self.now()?,
        };
        self.may(&Act::Witness(&subject, &witnessed))?;
        let entry = self.enter(&subject, &witnessed, &[])?;
        Ok(entered(&entry, &subject))
    }

    pub(super) fn finish(&mut self, record: &str) -> Result<Response> {
        let (subject, document) = self.record(record)?;
        let finished = AttemptFinished {
            attempt: latest(&document)?.number,
            role: self.role()?,
            worked_at: self.now()?,
        };
        self.may(&Act::Finish(&subject, &finished))?;
        let entry = self.enter(&subject, &finished, &[])?;
        Ok(entered(&entry, &subject))
    }

    /// Judges the latest attempt. The verdict is an entry like any other; it binds nobody.
    pub(super) fn judge(&mut self, record: &str) -> Result<Response> {
        let (subject, document) = self.record(record)?;
        let attempt = latest(&document)?;
        if attempt.finished.is_none() {
            return Err(AppError::new(
                "record.not_finished",
                format!("Attempt {} is {}.", attempt.number, attempt.state.words()),
                "Let its performer finish and sign it first.",
            ));
        }
        rules::may_write(self.role()?)?;
        if let Some(verdict) = attempt.verdict() {
            return Err(AppError::new(
                "record.judged",
                format!(
                    "Attempt {} is judged, and nothing that bears on it was entered since: {}.",
                    attempt.number,
                    verdict.verdict.words()
                ),
                "Review it, or correct what is wrong in it; a correction is judged anew.",
            ));
        }
        let checklist = self.checklist_of(&document)?;
        let criteria = self.criteria_of(&document)?;
        let around = self.surroundings(&document, attempt.number)?;
        let judged = logbook::judge(&document, attempt.number, &checklist, &criteria, &around)?;
        let reached = VerdictReached {
            attempt: attempt.number,
            verdict: judged.verdict,
            reason: judged.reason.clone(),
            criteria: document.criteria.clone(),
            limits: judged.limits,
            sheets: judged.sheets,
            site: judged.site,
            design: judged.design,
            inputs: judged.inputs,
        };
        let entry = self.enter(&subject, &reached, &[])?;
        Ok(Response::Judged {
            entry: entry.to_string(),
            verdict: judged.verdict,
            reason: judged.reason,
        })
    }

    pub(super) fn review(
        &mut self,
        record: &str,
        decision: Decision,
        reason: Option<String>,
    ) -> Result<Response> {
        let (subject, document) = self.record(record)?;
        let attempt = latest(&document)?;
        let verdict = attempt.verdict().ok_or_else(|| {
            AppError::new(
                "record.no_verdict",
                format!("Attempt {} has no verdict that counts.", attempt.number),
                "Judge the attempt first.",
            )
        })?;
        let reviewed = RecordReviewed {
            attempt: attempt.number,
            verdict: verdict.stamp.entry,
            decision,
            reason,
            role: self.role()?,
        };
        self.may(&Act::Review(&subject, &reviewed))?;
        let entry = self.enter(&subject, &reviewed, &[])?;
        Ok(entered(&entry, &subject))
    }

    pub(super) fn raise_finding(&mut self, asked: RaiseFinding) -> Result<Response> {
        rules::may_write(self.role()?)?;
        let dish = self.position(&asked.position)?;
        let raised = FindingRaised {
            position: dish.position,
            text: asked.text,
            place: asked.place,
            category: asked.category,
            record: asked.record.as_deref().map(Self::subject).transpose()?,
            role: self.role()?,
            worked_at: self.now()?,
        };
        let subject = self.new_subject()?;
        let files = asked.photos.iter().map(uploaded).collect::<Result<Vec<_>>>()?;
        let entry = self.enter(&subject, &raised, &files)?;
        Ok(entered(&entry, &subject))
    }

    pub(super) fn close_finding(
        &mut self,
        finding: &str,
        done_by: String,
        done: String,
        photos: &[Upload],
    ) -> Result<Response> {
        let subject = Self::subject(finding)?;
        if self.document::<FindingDoc>(&Key::finding(&subject))?.is_none() {
            return Err(AppError::new(
                "finding.unknown",
                format!("This logbook holds no finding {subject}."),
                "Choose one of the dish's open items.",
            ));
        }
        let closed = FindingClosed { done_by, done, role: self.role()?, worked_at: self.now()? };
        self.may(&Act::CloseFinding(&subject, &closed))?;
        let files = photos.iter().map(uploaded).collect::<Result<Vec<_>>>()?;
        let entry = self.enter(&subject, &closed, &files)?;
        Ok(entered(&entry, &subject))
    }

    fn criteria_of(&self, record: &RecordDoc) -> Result<Criteria> {
        let key = Key::criteria(&record.criteria.id, &record.criteria.revision);
        let adopted: Option<AdoptedDoc<Criteria>> = self.document(&key)?;
        adopted.map(|adopted| adopted.read).ok_or_else(|| {
            AppError::internal("Reading the criteria", format!("{key} is not among the documents"))
        })
    }
}

/// Entries typed in from this person's paper that they have not confirmed.
fn awaiting(attempt: &AttemptDoc, person: &str) -> Vec<EntryId> {
    let answers = attempt.answers.values().flat_map(|answer| &answer.given);
    let answers = answers
        .filter(|given| given.awaits_confirmation() && given.performer().0 == person)
        .map(|given| given.stamp.entry);
    let marks =
        attempt.holds.values().flat_map(|hold| std::iter::once(&hold.start).chain(&hold.end));
    let marks = marks
        .filter(|mark| mark.awaits_confirmation() && is_performer(&mark.origin, person))
        .map(|mark| mark.stamp.entry);
    let mut entries: Vec<EntryId> = answers.chain(marks).collect();
    entries.sort_unstable();
    entries.dedup();
    entries
}

fn is_performer(origin: &logbook::events::Origin, person: &str) -> bool {
    matches!(origin, logbook::events::Origin::Transcribed { performer, .. } if performer == person)
}

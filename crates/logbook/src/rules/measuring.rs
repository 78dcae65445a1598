//! Measured tables and imported series: who may enter them, and with which instruments.

use ledger::{EntryId, Subject};

use super::answering::step_of;
use super::{Answered, Asked, MayNot, needs_reason, refuse, unless_insisted};
use crate::Moment;
use crate::document::{AttemptDoc, PersonDoc, RecordDoc};
use crate::events::{Insistence, Origin, SeriesImported, SurveyTaken};
use crate::source::{Asks, Checklist, Step};
use crate::surroundings::Surroundings;
use crate::typed;

/// What was taken, whether a table or series.
struct Measured<'a> {
    attempt: u32,
    step: &'a Step,
    worked_at: &'a Moment,
    replaces: Option<EntryId>,
    reason: Option<&'a str>,
    insisted: &'a [Insistence],
}

impl Asked<'_> {
    pub(super) fn survey(
        &self,
        person: &PersonDoc,
        record: &Subject,
        event: &SurveyTaken,
    ) -> Answered {
        let record = self.record(record)?;
        let checklist = self.checklist(&record)?;
        let worker =
            self.worker(person, event.role, &event.origin, &checklist, &event.worked_at)?;
        let step = step_of(&checklist, &event.step)?;
        let Asks::Survey(asked) = &step.asks else { return other_kind(step, "table") };
        let measured = Measured {
            attempt: event.attempt,
            step,
            worked_at: &event.worked_at,
            replaces: event.replaces,
            reason: event.reason.as_deref(),
            insisted: &event.insisted,
        };
        self.measured(&record, &checklist, &worker, &measured)?;
        let around = Surroundings::of(self.shelf, &record, event.attempt)?;
        typed::survey_fits(asked, &around.lines(&record, asked)?, event)?;
        match &asked.instrument {
            None => Ok(()),
            Some(role) => self.instrument_for(
                &checklist,
                step,
                role,
                event.instrument.as_deref(),
                (&event.worked_at, &event.insisted),
            ),
        }
    }

    pub(super) fn series(
        &self,
        person: &PersonDoc,
        record: &Subject,
        event: &SeriesImported,
    ) -> Answered {
        let record = self.record(record)?;
        let checklist = self.checklist(&record)?;
        let direct = Origin::Direct {};
        let worker = self.worker(person, event.role, &direct, &checklist, &event.worked_at)?;
        let step = step_of(&checklist, &event.step)?;
        let Asks::Series(asked) = &step.asks else { return other_kind(step, "file of a logger") };
        let measured = Measured {
            attempt: event.attempt,
            step,
            worked_at: &event.worked_at,
            replaces: event.replaces,
            reason: event.reason.as_deref(),
            insisted: &event.insisted,
        };
        self.measured(&record, &checklist, &worker, &measured)?;
        typed::series_fits(asked, event)?;
        for channel in &event.channels {
            let wanted = asked.channels.iter().find(|wanted| wanted.id == channel.id);
            if let Some(role) = wanted.and_then(|wanted| wanted.instrument.as_deref()) {
                let id = event.instrument_of(channel);
                let when = (&event.worked_at, event.insisted.as_slice());
                self.instrument_for(&checklist, step, role, id, when)?;
            }
        }
        Ok(())
    }

    /// What holds for both: the attempt is open, or what counted is replaced with a reason.
    fn measured(
        &self,
        record: &RecordDoc,
        checklist: &Checklist,
        worker: &PersonDoc,
        measured: &Measured<'_>,
    ) -> Answered {
        let Measured { step, worked_at, insisted, .. } = *measured;
        let attempt: &AttemptDoc = match measured.replaces {
            None => self.open_attempt(record, measured.attempt)?,
            Some(_) => match record.attempt(measured.attempt) {
                Some(attempt) => attempt,
                None => self.open_attempt(record, measured.attempt)?,
            },
        };
        self.when(attempt, worked_at)?;
        let counting = attempt.counting_entry(&step.id);
        if counting != measured.replaces {
            return refuse(
                "already_answered",
                format!("Step {} of attempt {} is answered.", step.number, attempt.number),
                "To take it again, name what counts now and say why; the first stays visible.",
            );
        }
        if counting.is_some() {
            needs_reason(measured.reason.unwrap_or_default(), "Taking a step again")?;
        }
        if let Err(refusal) = self.papers(worker, checklist, worked_at) {
            unless_insisted(refusal, insisted)?;
        }
        self.late(checklist, worked_at, insisted)
    }
}

fn other_kind(step: &Step, given: &str) -> Result<(), MayNot> {
    refuse(
        "answer_does_not_fit",
        format!("Step {} asks for a {}, not for a {given}.", step.number, step.asks.name()),
        "Answer it in that form, or enter it as missing with the reason.",
    )
}

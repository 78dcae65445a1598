//! Records opened; attempts started, interrupted, finished, withdrawn; the weather.

use std::collections::BTreeMap;

use super::{Fault, Fold, misplaced};
use crate::document::{
    AdoptedDoc, AttemptDoc, AttemptState, Interruption, PositionDoc, RecordDoc, RecordOfPosition,
    SerialFittedThen, SiteDoc, Unread, WeatherDoc,
};
use crate::events::{
    AttemptFinished, AttemptInterrupted, AttemptStarted, AttemptWithdrawn, Decision, RecordOpened,
    SourceRevision, WeatherNoted,
};
use crate::judge::Verdict;
use crate::shelf::{Key, ShelfError, read, write};
use crate::source::{Checklist, Criteria, limits_lacking};

/// Where an attempt stands by what it holds.
pub(super) fn state_of(attempt: &AttemptDoc) -> AttemptState {
    if attempt.withdrawn.is_some() {
        return AttemptState::EnteredInError;
    }
    if attempt.finished.is_none() {
        let stopped = !attempt.interruptions.is_empty();
        return if stopped { AttemptState::Interrupted } else { AttemptState::InProgress };
    }
    let Some(verdict) = attempt.verdict() else { return AttemptState::AwaitingVerdict };
    match attempt.review().map(|review| review.decision) {
        Some(Decision::Accept) => AttemptState::Accepted,
        Some(Decision::Reject) => AttemptState::Rejected,
        None if verdict.verdict == Verdict::NotJudged => AttemptState::NotJudged,
        None => AttemptState::AwaitingReview,
    }
}

fn serials_now(position: &PositionDoc) -> Vec<SerialFittedThen> {
    position
        .fitted_now()
        .into_iter()
        .map(|(slot, serial)| SerialFittedThen { slot: slot.into(), serial: serial.into() })
        .collect()
}

/// The attempt of a number.
pub(super) fn attempt_mut(record: &mut RecordDoc, number: u32) -> Result<&mut AttemptDoc, Fault> {
    match record.attempts.iter_mut().find(|attempt| attempt.number == number) {
        Some(attempt) => Ok(attempt),
        None => misplaced(format!("attempt {number} was not started before it")),
    }
}

/// The attempt of a number, which must still be open.
pub(super) fn open_attempt(record: &mut RecordDoc, number: u32) -> Result<&mut AttemptDoc, Fault> {
    let attempt = attempt_mut(record, number)?;
    if !attempt.state.is_open() {
        let state = attempt.state.words();
        return misplaced(format!("attempt {number} was {state} before it"));
    }
    Ok(attempt)
}

impl Fold<'_> {
    pub(super) fn record_opened(&mut self, event: RecordOpened) -> Result<(), Fault> {
        let subject = self.header.subject().clone();
        if read::<RecordDoc>(self.shelf, &Key::record(&subject))?.is_some() {
            return misplaced("the record was opened before it");
        }
        let key = Key::checklist(&event.checklist.id, &event.checklist.revision);
        let checklist: AdoptedDoc<Checklist> = match read(self.shelf, &key)? {
            Some(checklist) => checklist,
            None => return misplaced("its checklist was not adopted before it"),
        };
        let key = Key::criteria(&event.criteria.id, &event.criteria.revision);
        let criteria: AdoptedDoc<Criteria> = match read(self.shelf, &key)? {
            Some(criteria) => criteria,
            None => return misplaced("its criteria were not adopted before it"),
        };
        if checklist.hash != event.checklist.hash || criteria.hash != event.criteria.hash {
            return misplaced("it names another content than was adopted under that revision");
        }
        let lacking = limits_lacking(&checklist.read, &criteria.read);
        if !lacking.is_empty() {
            return misplaced(format!("its criteria have no limit {}", lacking.join(", ")));
        }
        let key = Key::position(&event.position);
        let Some(mut position) = read::<PositionDoc>(self.shelf, &key)? else {
            return misplaced(format!(
                "position `{}` was not registered before it",
                event.position
            ));
        };
        let requirement = checklist.read.proves.clone();
        position.records.push(RecordOfPosition {
            record: subject.clone(),
            checklist: event.checklist.id.clone(),
            requirement: requirement.clone(),
        });
        let serials = serials_now(&position);
        let unread: Vec<Unread> = read(self.shelf, &Key::unread(&subject))?.unwrap_or_default();
        let record = RecordDoc {
            record: subject,
            position: event.position,
            title: checklist.read.title,
            requirement,
            checklist: event.checklist,
            criteria: event.criteria,
            serials,
            lists: position.lists.clone(),
            opened: self.stamp.clone(),
            attempts: Vec::new(),
            unread,
        };
        write(self.shelf, &key, &position)?;
        self.put_settled(record)
    }

    pub(super) fn attempt_started(&mut self, event: AttemptStarted) -> Result<(), Fault> {
        let mut record = self.record()?;
        let checklist = self.checklist_of(&record)?;
        let next = u32::try_from(record.attempts.len() + 1).unwrap_or(u32::MAX);
        if event.attempt != next {
            return misplaced(format!("the next attempt is {next}, not {}", event.attempt));
        }
        if record.latest().is_some_and(|attempt| attempt.state.is_open()) {
            return misplaced("the attempt before it is still in progress");
        }
        if checklist.step(&event.from_step).is_none() {
            return misplaced(format!("the checklist has no step `{}`", event.from_step));
        }
        let position: Option<PositionDoc> = read(self.shelf, &Key::position(&record.position))?;
        let serials = position.as_ref().map(serials_now).unwrap_or_default();
        let design = match &position {
            Some(position) => self.design_now(&position.dish_type)?,
            None => None,
        };
        record.attempts.push(AttemptDoc {
            number: event.attempt,
            serials,
            design,
            state: AttemptState::InProgress,
            started: self.stamp_as(event.role),
            worked_at: event.worked_at,
            from_step: event.from_step,
            reason: event.reason,
            assisted_by: event.assisted_by,
            permit: event.permit,
            weather: Vec::new(),
            answers: BTreeMap::new(),
            surveys: BTreeMap::new(),
            series: BTreeMap::new(),
            holds: BTreeMap::new(),
            witnesses: Vec::new(),
            interruptions: Vec::new(),
            finished: None,
            finished_at: None,
            verdicts: Vec::new(),
            reviews: Vec::new(),
            withdrawn: None,
            flags: Vec::new(),
        });
        self.put_settled(record)
    }

    /// The design of a type of dish that is adopted now.
    fn design_now(&self, dish_type: &str) -> Result<Option<SourceRevision>, ShelfError> {
        let site: Option<SiteDoc> = read(self.shelf, &Key::site())?;
        Ok(site.and_then(|site| {
            let adopted = site.dish_designs.get(dish_type)?;
            Some(SourceRevision {
                id: dish_type.to_owned(),
                revision: adopted.revision.clone(),
                hash: adopted.hash,
            })
        }))
    }

    pub(super) fn attempt_interrupted(&mut self, event: AttemptInterrupted) -> Result<(), Fault> {
        let mut record = self.record()?;
        let stamp = self.stamp_as(event.role);
        let attempt = open_attempt(&mut record, event.attempt)?;
        attempt.interruptions.push(Interruption {
            stamp,
            reason: event.reason,
            worked_at: event.worked_at,
        });
        self.put_settled(record)
    }

    pub(super) fn weather_noted(&mut self, event: WeatherNoted) -> Result<(), Fault> {
        let mut record = self.record()?;
        let stamp = self.stamp_as(event.role);
        let attempt = open_attempt(&mut record, event.attempt)?;
        attempt.weather.push(WeatherDoc {
            stamp,
            worked_at: event.worked_at,
            observations: event.observations,
        });
        Ok(self.put_record(&record)?)
    }

    pub(super) fn attempt_finished(&mut self, event: AttemptFinished) -> Result<(), Fault> {
        self.bound(event.role)?;
        let mut record = self.record()?;
        let stamp = self.stamp_as(event.role);
        let attempt = open_attempt(&mut record, event.attempt)?;
        attempt.finished = Some(stamp);
        attempt.finished_at = Some(event.worked_at);
        self.put_settled(record)
    }

    pub(super) fn attempt_withdrawn(&mut self, event: AttemptWithdrawn) -> Result<(), Fault> {
        let mut record = self.record()?;
        let stamp = self.stamp_as(event.role);
        let attempt = attempt_mut(&mut record, event.attempt)?;
        attempt.withdrawn = Some((stamp, event.reason));
        self.put_settled(record)
    }

    /// Writes a record whose attempts or proof may stand elsewhere than before.
    pub(super) fn put_settled(&mut self, mut record: RecordDoc) -> Result<(), Fault> {
        for attempt in &mut record.attempts {
            attempt.state = state_of(attempt);
        }
        self.put_record(&record)?;
        Ok(self.refresh_proof(&record.position, &record.requirement)?)
    }
}

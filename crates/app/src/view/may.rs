//! What the acting person may do with a record now: asked of the same rules that the act itself
//! will be asked of.

use logbook::document::{AttemptDoc, AttemptState, RecordDoc};
use logbook::events::{
    AttemptFinished, AttemptInterrupted, AttemptStarted, Decision, RecordReviewed, Role,
};
use logbook::rules::{self, Act, Actor, MayNot};
use logbook::source::Checklist;

use super::eye::Eye;
use super::record::May;
use crate::error::Result;

/// Stands for the reason that a person will give; a rule asks whether there is one.
const A_REASON: &str = "to be given";

impl Eye<'_> {
    /// What the rules let the acting person do with the latest attempt.
    pub(crate) fn may(&self, record: &RecordDoc, checklist: &Checklist) -> Result<May> {
        let Some(acting) = &self.logbook.acting else {
            let why_not = "Nobody acts on this tablet just now. Choose who acts.".to_owned();
            return Ok(May { why_not_weather: why_not.clone(), why_not, ..May::default() });
        };
        let role = acting.role;
        let start = self.start(record, checklist, role)?;
        let Some(attempt) = record.latest() else {
            return Ok(May {
                start: start.is_none(),
                why_not: start.unwrap_or_default(),
                why_not_weather: "The weather is noted once an attempt is started.".to_owned(),
                ..May::default()
            });
        };
        let finish = self.finish(record, attempt, role)?;
        let interrupt = self.interrupt(record, attempt, role)?;
        let judge = judge(attempt, role);
        let review = self.review(record, attempt, role)?;
        let why_not = match attempt.state {
            AttemptState::InProgress => &finish,
            AttemptState::AwaitingVerdict => &judge,
            AttemptState::AwaitingReview => &review,
            _ => &start,
        };
        Ok(May {
            why_not: why_not.clone().unwrap_or_default(),
            start: start.is_none(),
            finish: finish.is_none(),
            judge: judge.is_none(),
            review: review.is_none(),
            interrupt: interrupt.is_none(),
            why_not_weather: self.why_not_weather(record, attempt, role)?.unwrap_or_default(),
        })
    }

    /// Why the next attempt can't be started; none when it can.
    fn start(
        &self,
        record: &RecordDoc,
        checklist: &Checklist,
        role: Role,
    ) -> Result<Option<String>> {
        let first = checklist.first_step().map(|step| step.id.clone()).unwrap_or_default();
        let start = AttemptStarted {
            attempt: u32::try_from(record.attempts.len() + 1).unwrap_or(u32::MAX),
            from_step: first,
            reason: Some(A_REASON.to_owned()),
            role,
            assisted_by: Vec::new(),
            permit: None,
            worked_at: self.source.now.clone(),
        };
        self.why_not(&Act::StartAttempt(&record.record, &start))
    }

    fn finish(
        &self,
        record: &RecordDoc,
        attempt: &AttemptDoc,
        role: Role,
    ) -> Result<Option<String>> {
        let now = self.source.now.clone();
        let finish = AttemptFinished { attempt: attempt.number, role, worked_at: now };
        self.why_not(&Act::Finish(&record.record, &finish))
    }

    fn interrupt(
        &self,
        record: &RecordDoc,
        attempt: &AttemptDoc,
        role: Role,
    ) -> Result<Option<String>> {
        let stop = AttemptInterrupted {
            attempt: attempt.number,
            reason: A_REASON.to_owned(),
            role,
            worked_at: self.source.now.clone(),
        };
        self.why_not(&Act::Interrupt(&record.record, &stop))
    }

    /// Why the attempt can't be reviewed. A verdict that is no pass can still be rejected.
    fn review(
        &self,
        record: &RecordDoc,
        attempt: &AttemptDoc,
        role: Role,
    ) -> Result<Option<String>> {
        let Some(verdict) = attempt.verdict() else {
            return Ok(Some("The attempt has no verdict that counts.".to_owned()));
        };
        if attempt.review().is_some() {
            return Ok(Some("The attempt is reviewed.".to_owned()));
        }
        let decide = |decision| RecordReviewed {
            attempt: attempt.number,
            verdict: verdict.stamp.entry,
            decision,
            reason: Some(A_REASON.to_owned()),
            role,
        };
        self.why_not(&Act::Review(&record.record, &decide(Decision::Reject)))
    }

    /// The rules' refusal in words; none when they let the act pass.
    pub(crate) fn why_not(&self, act: &Act<'_>) -> Result<Option<String>> {
        let Some(acting) = &self.logbook.acting else { return Ok(None) };
        let actor = Actor { person: &acting.person.person, at: &self.source.now };
        match rules::may(self.source.shelf, &actor, act) {
            Ok(()) => Ok(None),
            Err(MayNot::Refused(refusal)) => Ok(Some(refusal.to_string())),
            Err(fault @ MayNot::Shelf(_)) => Err(fault.into()),
        }
    }
}

fn judge(attempt: &AttemptDoc, role: Role) -> Option<String> {
    match (&attempt.finished, attempt.verdict()) {
        (None, _) => Some("The performer has not finished the attempt.".to_owned()),
        (_, Some(_)) => Some("The attempt is judged.".to_owned()),
        (Some(_), None) => rules::may_write(role).err().map(|refusal| refusal.to_string()),
    }
}

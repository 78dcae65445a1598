//! Attempts as the report prints them: who did, reviewed and witnessed what.

use logbook::Verdict;
use logbook::document::{self, AttemptDoc, AttemptState, RecordDoc};
use logbook::events::Witnessing;
use logbook::source::Checklist;
use report::model;

use super::proofs::attempt_id;
use super::source::Source;
use crate::words;

impl Source<'_> {
    pub(super) fn name(&self, id: &str) -> String {
        self.person(id).map_or_else(|_| id.to_owned(), |person| person.name)
    }

    pub(super) fn who(&self, id: &str, role: Option<logbook::events::Role>) -> String {
        words::who(self.person(id).ok().as_ref(), id, role)
    }

    /// Everyone who acted on a record, by id.
    pub(super) fn acted(&self, record: &RecordDoc) -> Vec<String> {
        let mut ids = vec![record.opened.person.clone()];
        for attempt in &record.attempts {
            ids.extend(attempt.assisted_by.iter().cloned());
            ids.extend(attempt.finished.iter().map(|stamp| stamp.person.clone()));
            ids.extend(attempt.witnesses.iter().map(|witness| witness.stamp.person.clone()));
            ids.extend(attempt.reviews.iter().map(|review| review.stamp.person.clone()));
            let given = attempt.answers.values().flat_map(|answer| &answer.given);
            ids.extend(given.map(|given| given.stamp.person.clone()));
        }
        ids
    }

    pub(super) fn attempt_shown(
        &self,
        record: &RecordDoc,
        attempt: &AttemptDoc,
        checklist: &Checklist,
        installation: &str,
    ) -> model::Attempt {
        let verdict = attempt.verdict();
        let outcome = match (attempt.state, verdict.map(|verdict| verdict.verdict)) {
            (AttemptState::Interrupted, _) => model::AttemptOutcome::Interrupted,
            (_, Some(Verdict::Pass)) => model::AttemptOutcome::Pass,
            (_, Some(Verdict::Fail)) => model::AttemptOutcome::Fail,
            (_, Some(Verdict::NotJudged)) => model::AttemptOutcome::NotJudged,
            _ => model::AttemptOutcome::InProgress,
        };
        let finished = attempt.finished.as_ref();
        model::Attempt {
            id: attempt_id(&record.requirement, attempt.number),
            requirement: record.requirement.clone(),
            title: format!(
                "{}, attempt {} of {}",
                record.title,
                attempt.number,
                record.attempts.len()
            ),
            checklist: format!("{} revision {}", record.checklist.id, record.checklist.revision),
            outcome,
            result: result_words(outcome).to_owned(),
            reason: verdict.map(|verdict| verdict.reason.clone()).unwrap_or_default(),
            state: attempt.state.words().to_owned(),
            started: words::when(&attempt.worked_at),
            ended: attempt.finished_at.as_ref().map(words::when).unwrap_or_default(),
            performed_by: finished
                .map(|stamp| self.who(&stamp.person, stamp.role))
                .unwrap_or_default(),
            assisted_by: attempt
                .assisted_by
                .iter()
                .map(|id| self.name(id))
                .collect::<Vec<_>>()
                .join(", "),
            reviewed_by: attempt
                .review()
                .map(|review| self.review_words(review))
                .unwrap_or_default(),
            witnessed_by: attempt
                .witnesses
                .iter()
                .map(|witness| self.witness(witness))
                .collect::<Vec<_>>()
                .join("; "),
            follows: attempt.reason.clone().unwrap_or_default(),
            readings: self.readings(attempt, checklist, installation),
        }
    }

    fn review_words(&self, review: &document::ReviewDoc) -> String {
        let decision = match review.decision {
            logbook::events::Decision::Accept => "accepted",
            logbook::events::Decision::Reject => "rejected",
        };
        let why = review.reason.as_ref().map(|why| format!(": {why}")).unwrap_or_default();
        let stamp = &review.stamp;
        format!(
            "{}, {decision} {}{why}",
            self.who(&stamp.person, stamp.role),
            words::when_short(&stamp.claimed)
        )
    }

    fn witness(&self, witness: &document::WitnessDoc) -> String {
        match &witness.witnessing {
            Witnessing::Present {} => format!(
                "{}, present {}",
                self.who(&witness.stamp.person, witness.stamp.role),
                words::when_short(&witness.worked_at)
            ),
            Witnessing::InvitedAbsent { invited, invited_at, evidence } => format!(
                "{} was invited {} and did not attend. {evidence}",
                self.name(invited),
                words::when_short(invited_at)
            ),
        }
    }
}

fn result_words(outcome: model::AttemptOutcome) -> &'static str {
    match outcome {
        model::AttemptOutcome::Pass => "Within the limits",
        model::AttemptOutcome::Fail => "Outside a limit",
        model::AttemptOutcome::NotJudged => "Not judged",
        model::AttemptOutcome::Interrupted => "Interrupted",
        model::AttemptOutcome::InProgress => "In progress",
        model::AttemptOutcome::Done => "Done",
    }
}

//! Attempts as the report prints them: who did, reviewed and witnessed what.

use logbook::Verdict;
use logbook::document::{self, AttemptDoc, AttemptState, RecordDoc, Stamp};
use logbook::events::{Origin, Witnessing};
use logbook::source::Checklist;
use report::model;

use super::proofs::attempt_id;
use super::sheets::limits;
use super::source::Source;
use super::taken::At;
use crate::words;

impl Source<'_> {
    pub(crate) fn name(&self, id: &str) -> String {
        self.person(id).map_or_else(|_| id.to_owned(), |person| person.name)
    }

    pub(crate) fn who(&self, id: &str, role: Option<logbook::events::Role>) -> String {
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
            for (stamp, origin) in attempt.work() {
                ids.push(stamp.person.clone());
                if let Origin::Transcribed { performer, .. } = origin {
                    ids.push(performer.clone());
                }
            }
            let imports = attempt.series.values().flat_map(|series| &series.given);
            ids.extend(imports.map(|given| given.stamp.person.clone()));
            ids.extend(confirming(attempt).map(|stamp| stamp.person.clone()));
            ids.extend(invited(attempt).cloned());
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
            notice: self.notice(record),
            limits: verdict.map(limits).unwrap_or_default(),
            readings: self.readings(record, attempt, checklist, installation),
            taken: checklist
                .steps
                .iter()
                .flat_map(|step| self.taken(&At { record, attempt, step, installation }))
                .collect(),
        }
    }

    /// What must be known about a record that proves none of the required proofs.
    fn notice(&self, record: &RecordDoc) -> String {
        let required = self.requirements().unwrap_or_default();
        if required.iter().any(|requirement| requirement.id == record.requirement) {
            return String::new();
        }
        "A record only, not a lock register: it proves none of the proofs that the dish owes, and \
         it keeps no lock. The padlock and the lock board at the dish decide."
            .to_owned()
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

/// Everyone who confirmed what was typed in from paper.
fn confirming(attempt: &AttemptDoc) -> impl Iterator<Item = &Stamp> {
    let answers = attempt.answers.values().flat_map(|answer| &answer.given);
    let surveys = attempt.surveys.values().flat_map(|survey| &survey.given);
    let marks =
        attempt.holds.values().flat_map(|hold| std::iter::once(&hold.start).chain(&hold.end));
    answers
        .filter_map(|given| given.confirmed.as_ref())
        .chain(surveys.filter_map(|given| given.confirmed.as_ref()))
        .chain(marks.filter_map(|mark| mark.confirmed.as_ref()))
}

/// Everyone who was invited as a witness and did not come.
fn invited(attempt: &AttemptDoc) -> impl Iterator<Item = &String> {
    attempt.witnesses.iter().filter_map(|witness| match &witness.witnessing {
        Witnessing::InvitedAbsent { invited, .. } => Some(invited),
        Witnessing::Present {} => None,
    })
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

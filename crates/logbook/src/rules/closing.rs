//! Confirming, witnessing, finishing, reviewing, signing.

use ledger::Subject;
use quantity::{Decimal, Dimension, Field};

use super::{Answered, Asked, MayNot, needs_reason, refuse};
use crate::document::{AdoptedDoc, AttemptDoc, FindingDoc, PersonDoc, RecordDoc, ReportDoc};
use crate::events::{
    AttemptFinished, AttemptWithdrawn, Decision, FindingClosed, Origin, RecordReviewed,
    ReportSigned, Role, StepWitnessed, TranscriptionConfirmed, Witnessing,
};
use crate::fold::performers;
use crate::judge::{Verdict, attempts_for};
use crate::shelf::{Key, read};
use crate::source::{Asks, Checklist, Criteria, Step};

impl Asked<'_> {
    pub(super) fn confirm(
        &self,
        person: &PersonDoc,
        record: &Subject,
        event: &TranscriptionConfirmed,
    ) -> Answered {
        let record = self.record(record)?;
        self.may_write(person, event.role)?;
        self.holds(person, event.role, self.actor.at)?;
        for id in &event.entries {
            let origin = record.attempts.iter().find_map(|attempt| {
                let answers = attempt.answers.values().flat_map(|answer| &answer.given);
                let marks = attempt
                    .holds
                    .values()
                    .flat_map(|hold| std::iter::once(&hold.start).chain(&hold.end));
                answers
                    .map(|given| (given.stamp.entry, &given.origin))
                    .chain(marks.map(|mark| (mark.stamp.entry, &mark.origin)))
                    .find_map(|(entry, origin)| (entry == *id).then_some(origin))
            });
            match origin {
                Some(Origin::Transcribed { performer, .. }) if *performer == person.person => {}
                Some(Origin::Transcribed { performer, .. }) => {
                    return refuse(
                        "not_the_performer",
                        format!("The paper names {performer} for this work, not {}.", person.name),
                        format!("Let {performer} read it and confirm."),
                    );
                }
                _ => {
                    return refuse(
                        "nothing_to_confirm",
                        "One of these entries was not typed in from paper.",
                        "Choose only entries that were transcribed.",
                    );
                }
            }
        }
        Ok(())
    }

    pub(super) fn witness(
        &self,
        person: &PersonDoc,
        record: &Subject,
        event: &StepWitnessed,
    ) -> Answered {
        let record = self.record(record)?;
        let checklist = self.checklist(&record)?;
        self.may_write(person, event.role)?;
        self.holds(person, event.role, &event.worked_at)?;
        self.not_in_future(&event.worked_at)?;
        let Some(Asks::Witness(asked)) = checklist.step(&event.step).map(|step| &step.asks) else {
            return refuse(
                "not_a_witness_point",
                format!("Step “{}” is no witness point.", event.step),
                "Choose a witness point of the checklist.",
            );
        };
        let Some(attempt) = record.attempt(event.attempt) else {
            return refuse(
                "unknown_attempt",
                format!("This record has no attempt {}.", event.attempt),
                "Choose one of its attempts.",
            );
        };
        match &event.witnessing {
            Witnessing::Present {} => {
                if !asked.roles.contains(&event.role) {
                    return refuse(
                        "not_a_witness",
                        format!("A {} is no witness of this step.", event.role.title()),
                        "A later look at the record is a review, not a witnessing.",
                    );
                }
                if performers(attempt).contains(person.person.as_str()) {
                    return refuse(
                        "witness_is_performer",
                        format!("{} took part in the work and can't witness it.", person.name),
                        "Let another person witness it.",
                    );
                }
                Ok(())
            }
            Witnessing::InvitedAbsent { invited, invited_at, evidence } => {
                self.person(invited)?;
                needs_reason(evidence, "An absent witness")?;
                let given = event.worked_at.seconds_since(invited_at);
                let notice = self.notice(&record, &asked.notice)?;
                if Decimal::from(given) >= notice.base() {
                    return Ok(());
                }
                refuse(
                    "notice_too_short",
                    format!(
                        "The invitation of {invited_at} gave {} h of notice before {}; {notice} is agreed.",
                        given / 3600,
                        event.worked_at
                    ),
                    "Enter an invitation that was given in time, or leave the witness point open.",
                )
            }
        }
    }

    /// The notice that an invitation must give.
    fn notice(&self, record: &RecordDoc, limit: &str) -> Result<quantity::Reading, MayNot> {
        let key = Key::criteria(&record.criteria.id, &record.criteria.revision);
        let criteria: Option<AdoptedDoc<Criteria>> = read(self.shelf, &key)?;
        let notice = criteria
            .as_ref()
            .and_then(|adopted| adopted.read.limit(limit))
            .and_then(|limit| quantity::parse(&limit.value, &Field::of(Dimension::Duration)).ok());
        match notice {
            Some(notice) => Ok(notice),
            None => refuse(
                "limits_lacking",
                format!("The record's criteria give no notice “{limit}” for this witness point."),
                "Adopt criteria that hold it, and open the record with them.",
            ),
        }
    }

    pub(super) fn finish(
        &self,
        person: &PersonDoc,
        record: &Subject,
        event: &AttemptFinished,
    ) -> Answered {
        let record = self.record(record)?;
        let checklist = self.checklist(&record)?;
        self.performs(person, event.role, &checklist, &event.worked_at)?;
        let attempt = self.open_attempt(&record, event.attempt)?;
        self.not_in_future(&event.worked_at)?;
        if event.worked_at.seconds_since(&attempt.worked_at) < 0 {
            return refuse(
                "end_before_start",
                format!(
                    "Attempt {} began {} and can't end {}, before its start.",
                    attempt.number, attempt.worked_at, event.worked_at
                ),
                "Check the date of both times, and the offset if the clocks changed in the night.",
            );
        }
        let open: Vec<&str> = checklist
            .steps
            .iter()
            .filter(|step| !step.optional && !done(&record, &checklist, attempt, step))
            .map(|step| step.number.as_str())
            .collect();
        if open.is_empty() {
            return Ok(());
        }
        refuse(
            "steps_open",
            format!("Attempt {} has no answer to step {}.", attempt.number, open.join(", ")),
            "Answer them, or enter each as missing with the reason; or interrupt the attempt.",
        )
    }

    pub(super) fn withdraw(
        &self,
        person: &PersonDoc,
        record: &Subject,
        event: &AttemptWithdrawn,
    ) -> Answered {
        let record = self.record(record)?;
        self.may_write(person, event.role)?;
        self.holds(person, event.role, self.actor.at)?;
        needs_reason(&event.reason, "An entry in error")?;
        if record.attempt(event.attempt).is_some() {
            return Ok(());
        }
        refuse(
            "unknown_attempt",
            format!("This record has no attempt {}.", event.attempt),
            "Choose one of its attempts.",
        )
    }

    pub(super) fn review(
        &self,
        person: &PersonDoc,
        record: &Subject,
        event: &RecordReviewed,
    ) -> Answered {
        let record = self.record(record)?;
        let checklist = self.checklist(&record)?;
        self.may_write(person, event.role)?;
        self.holds(person, event.role, self.actor.at)?;
        if !checklist.reviewer.roles.contains(&event.role) {
            let meant: Vec<&str> =
                checklist.reviewer.roles.iter().map(|role| role.title()).collect();
            return refuse(
                "role_may_not_review",
                format!("A {} does not review “{}”.", event.role.title(), checklist.title),
                format!("Let one of these review it: {}.", meant.join(", ")),
            );
        }
        let Some(attempt) = record.attempt(event.attempt) else {
            return refuse(
                "unknown_attempt",
                format!("This record has no attempt {}.", event.attempt),
                "Choose one of its attempts.",
            );
        };
        if performers(attempt).contains(person.person.as_str()) {
            return refuse(
                "reviewer_is_performer",
                format!(
                    "{} took part in attempt {} and can't review it.",
                    person.name, attempt.number
                ),
                "Let another person review it.",
            );
        }
        let Some(verdict) =
            attempt.verdict().filter(|verdict| verdict.stamp.entry == event.verdict)
        else {
            return refuse(
                "verdict_not_current",
                format!(
                    "Attempt {} has no verdict that counts, or another than was shown.",
                    attempt.number
                ),
                "Have the attempt judged, look at the verdict, then review it.",
            );
        };
        match event.decision {
            Decision::Reject => needs_reason(event.reason.as_deref().unwrap_or(""), "A rejection"),
            Decision::Accept if verdict.verdict != Verdict::Pass => refuse(
                "verdict_is_no_pass",
                format!(
                    "Attempt {} is “{}” and can't be accepted: {}",
                    attempt.number,
                    verdict.verdict.words(),
                    verdict.reason
                ),
                "Reject it with the reason, and start the next attempt.",
            ),
            Decision::Accept => self.acceptable(person, &record, &checklist, attempt),
        }
    }

    /// What must stand before an attempt is accepted, beyond its verdict.
    fn acceptable(
        &self,
        person: &PersonDoc,
        record: &RecordDoc,
        checklist: &Checklist,
        attempt: &AttemptDoc,
    ) -> Answered {
        if let Some(unread) = record.unread.first() {
            return refuse(
                "withheld",
                crate::proof::withheld_because(&unread.what, record.unread.len()),
                "Update this program, or look at the entry named; then review again.",
            );
        }
        for step in checklist.steps.iter().filter(|step| !step.optional) {
            if !matches!(step.asks, Asks::Witness(_)) {
                continue;
            }
            let witnessed = attempt.witnesses.iter().find(|witness| witness.step == step.id);
            match witnessed {
                None => {
                    return refuse(
                        "witness_point_open",
                        format!("Step {} ({}) is open.", step.number, step.title),
                        "Let the witness sign, or enter the invitation that was given with notice.",
                    );
                }
                Some(witness)
                    if matches!(witness.witnessing, Witnessing::Present {})
                        && witness.stamp.person == person.person =>
                {
                    return refuse(
                        "reviewer_is_witness",
                        format!(
                            "{} witnessed step {} and can't review it.",
                            person.name, step.number
                        ),
                        "Let another person review it.",
                    );
                }
                Some(_) => {}
            }
        }
        Ok(())
    }

    pub(super) fn close_finding(
        &self,
        person: &PersonDoc,
        finding: &Subject,
        event: &FindingClosed,
    ) -> Answered {
        self.may_write(person, event.role)?;
        self.holds(person, event.role, self.actor.at)?;
        let Some(finding) = read::<FindingDoc>(self.shelf, &Key::finding(finding))? else {
            return refuse(
                "unknown_finding",
                "This logbook holds no such finding.",
                "Choose one of the open findings.",
            );
        };
        if finding.closed.is_some() {
            return refuse("finding_closed", "The finding is closed.", "Raise a new one.");
        }
        if event.done_by == person.person {
            return refuse(
                "verifier_did_the_work",
                format!("{} did the work and can't verify it.", person.name),
                "Let another person look at it and close the finding.",
            );
        }
        self.person(&event.done_by).map(drop)
    }

    pub(super) fn sign_report(
        &self,
        person: &PersonDoc,
        report: &Subject,
        event: &ReportSigned,
    ) -> Answered {
        self.may_write(person, event.role)?;
        self.holds(person, event.role, self.actor.at)?;
        let Some(report) = read::<ReportDoc>(self.shelf, &Key::report(report))? else {
            return refuse(
                "unknown_report",
                "This logbook holds no such report.",
                "Issue the report first.",
            );
        };
        if report.next_field() != Some(event.field.as_str()) {
            let next = report.next_field().unwrap_or("none; all have signed");
            return refuse(
                "not_this_turn",
                format!("The signature “{}” is not the next one.", event.field),
                format!("Next to sign: {next}."),
            );
        }
        if event.extends != report.latest_file() {
            return refuse(
                "other_file",
                "The file to be signed is not the one that was signed last.",
                "Take the file with all signatures so far, and sign that.",
            );
        }
        if report.signatures.iter().any(|one| one.by.person == person.person) {
            return refuse(
                "signed_already",
                format!("{} has signed this report.", person.name),
                "Let the next person sign.",
            );
        }
        self.signs_as(person, &report, event)
    }

    /// What each place of a report says of who signs it: who did the work, who reviewed it, who
    /// takes over. Places of other names are anybody's.
    fn signs_as(&self, person: &PersonDoc, report: &ReportDoc, event: &ReportSigned) -> Answered {
        let wanted = match event.field.as_str() {
            "crew" => return self.did_the_work(person, report),
            "supervisor" => Role::Supervisor,
            "owner" => Role::OwnersWitness,
            _ => return Ok(()),
        };
        if event.role == wanted {
            return Ok(());
        }
        refuse(
            "role_may_not_sign",
            format!("A {} does not sign as {}.", event.role.title(), event.field),
            format!("Let the {} sign this place.", wanted.title()),
        )
    }

    fn did_the_work(&self, person: &PersonDoc, report: &ReportDoc) -> Answered {
        for record in &report.records {
            let record = self.record(record)?;
            let by = |attempt: &AttemptDoc| performers(attempt).contains(person.person.as_str());
            if record.attempts.iter().any(by) {
                return Ok(());
            }
        }
        refuse(
            "signer_did_no_work",
            format!("{} took part in none of the records of this report.", person.name),
            "Let somebody who did the work sign for the crew.",
        )
    }
}

/// Whether a step that must be answered is.
fn done(record: &RecordDoc, checklist: &Checklist, attempt: &AttemptDoc, step: &Step) -> bool {
    let mut sources = attempts_for(record, checklist, attempt.number, &step.id);
    match &step.asks {
        Asks::Hold(_) => {
            sources.any(|one| one.holds.get(&step.id).is_some_and(|hold| hold.end.is_some()))
        }
        asks if asks.takes_answer() => sources.any(|one| one.answers.contains_key(&step.id)),
        asks if asks.takes_many() => sources.any(|one| one.counting_entry(&step.id).is_some()),
        // Computed, witnessed and signed by entries of their own.
        _ => true,
    }
}

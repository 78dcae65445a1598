//! Attempts, readings, corrections, instruments and people as the report prints them.

use std::collections::{BTreeMap, BTreeSet};

use logbook::document::{
    AttemptDoc, AttemptState, Given, HoldDoc, InstrumentUse, PositionDoc, RecordDoc,
};
use logbook::events::{Answer, Origin, Witnessing};
use logbook::source::{Asks, Checklist, Step};
use logbook::{Verdict, document};
use report::model;

use super::proofs::attempt_id;
use crate::error::Result;
use crate::logbook::Logbook;
use crate::words;

impl Logbook {
    pub(super) fn name(&self, id: &str) -> String {
        self.person(id).map_or_else(|_| id.to_owned(), |person| person.name)
    }

    fn who(&self, id: &str, role: Option<logbook::events::Role>) -> String {
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

    fn readings(
        &self,
        attempt: &AttemptDoc,
        checklist: &Checklist,
        installation: &str,
    ) -> Vec<model::Reading> {
        let mut readings = Vec::new();
        for step in &checklist.steps {
            if let Some(answer) = attempt.answers.get(&step.id) {
                readings
                    .extend(answer.given.iter().map(|given| self.given(step, given, installation)));
            }
            if let Some(hold) = attempt.holds.get(&step.id) {
                readings.push(self.hold(step, hold, installation));
            }
        }
        readings
    }

    fn given(&self, step: &Step, given: &Given, installation: &str) -> model::Reading {
        let (performer, role) = given.performer();
        let (as_typed, normalised) = answer_words(step, &given.answer);
        let used = given.instrument.as_ref();
        model::Reading {
            step: step.number.clone(),
            title: step.title.clone(),
            as_typed,
            normalised,
            instrument: used.map(|used| used.instrument.clone()).unwrap_or_default(),
            calibration: used.map_or(model::CalibrationState::NotNeeded, calibration),
            calibration_text: used.map(|used| used.state.words()).unwrap_or_default(),
            who: self.who(performer, role),
            worked_at: words::when_short(&given.worked_at),
            how: match &given.origin {
                Origin::Direct {} => "direct".to_owned(),
                Origin::Transcribed { form, .. } => format!("transcribed from form {form}"),
            },
            entry: words::entry(installation, &given.stamp),
            remark: remark(given),
        }
    }

    fn hold(&self, step: &Step, hold: &HoldDoc, installation: &str) -> model::Reading {
        let end = hold.end.as_ref();
        let elapsed = hold.elapsed.as_ref();
        let counted = elapsed.and_then(document::Elapsed::counted).map(words::span);
        let as_typed = match (&counted, end) {
            (Some(span), Some(end)) => format!(
                "{span}: {} to {}",
                words::when_short(&hold.start.worked_at),
                words::when_short(&end.worked_at)
            ),
            _ => format!("begun {}, not ended", words::when_short(&hold.start.worked_at)),
        };
        let last = end.unwrap_or(&hold.start);
        let mut remarks: Vec<String> = hold.flags.iter().map(|flag| flag.text.clone()).collect();
        remarks.extend(last.confirmed.as_ref().map(|by| {
            format!("confirmed by {} {}", self.name(&by.person), words::when_short(&by.claimed))
        }));
        model::Reading {
            step: step.number.clone(),
            title: step.title.clone(),
            as_typed,
            normalised: elapsed.map(|elapsed| elapsed.means().to_owned()).unwrap_or_default(),
            instrument: String::new(),
            calibration: model::CalibrationState::NotNeeded,
            calibration_text: String::new(),
            who: self.who(&last.stamp.person, last.stamp.role),
            worked_at: words::when_short(&last.worked_at),
            how: match &last.origin {
                Origin::Direct {} => "direct".to_owned(),
                Origin::Transcribed { form, .. } => format!("transcribed from form {form}"),
            },
            entry: words::entry(installation, &last.stamp),
            remark: remarks.join("; "),
        }
    }

    /// Corrections, late entries and transcriptions of a record, as a list and not a footnote.
    pub(super) fn corrections(
        &self,
        record: &RecordDoc,
        checklist: &Checklist,
        installation: &str,
    ) -> Vec<model::Correction> {
        let mut list = Vec::new();
        for attempt in &record.attempts {
            for step in &checklist.steps {
                let subject = format!("Attempt {}, {} {}", attempt.number, step.number, step.title);
                list.extend(
                    attempt.holds.get(&step.id).and_then(|hold| {
                        self.transcribed_hold(subject.clone(), hold, installation)
                    }),
                );
                let Some(answer) = attempt.answers.get(&step.id) else { continue };
                for (index, given) in answer.given.iter().enumerate() {
                    let before = index.checked_sub(1).and_then(|i| answer.given.get(i));
                    list.extend(self.correction(
                        subject.clone(),
                        step,
                        given,
                        before,
                        installation,
                    ));
                }
            }
        }
        list
    }

    /// A hold whose start or end was typed in from paper.
    fn transcribed_hold(
        &self,
        subject: String,
        hold: &HoldDoc,
        installation: &str,
    ) -> Option<model::Correction> {
        let (which, mark, form) = [("end", hold.end.as_ref()), ("start", Some(&hold.start))]
            .into_iter()
            .find_map(|(which, mark)| match mark.map(|mark| (&mark.origin, mark)) {
                Some((Origin::Transcribed { form, .. }, mark)) => Some((which, mark, form)),
                _ => None,
            })?;
        Some(model::Correction {
            kind: "transcribed".to_owned(),
            subject: format!("{subject}, {which}"),
            before: String::new(),
            after: words::when_short(&mark.worked_at),
            reason: format!("typed in from paper form {form}"),
            who: self.typed_by(&mark.stamp, mark.confirmed.as_ref()),
            entry: words::entry(installation, &mark.stamp),
        })
    }

    fn typed_by(&self, stamp: &document::Stamp, confirmed: Option<&document::Stamp>) -> String {
        let typed = format!("{} {}", self.name(&stamp.person), words::when_short(&stamp.claimed));
        match confirmed {
            Some(by) => format!(
                "{typed}; confirmed by {} {}",
                self.name(&by.person),
                words::when_short(&by.claimed)
            ),
            None => typed,
        }
    }

    fn correction(
        &self,
        subject: String,
        step: &Step,
        given: &Given,
        before: Option<&Given>,
        installation: &str,
    ) -> Option<model::Correction> {
        let late = given.flags.iter().find(|flag| flag.code.contains("late"));
        let (kind, reason) = match (&given.origin, &given.correction_reason, late) {
            (_, Some(reason), _) => ("correction", reason.clone()),
            (Origin::Transcribed { form, .. }, None, _) => {
                ("transcribed", format!("typed in from paper form {form}"))
            }
            (Origin::Direct {}, None, Some(late)) => ("late", late.text.clone()),
            (Origin::Direct {}, None, None) => return None,
        };
        Some(model::Correction {
            kind: kind.to_owned(),
            subject,
            before: before.map(|given| answer_words(step, &given.answer).0).unwrap_or_default(),
            after: answer_words(step, &given.answer).0,
            reason,
            who: self.typed_by(&given.stamp, given.confirmed.as_ref()),
            entry: words::entry(installation, &given.stamp),
        })
    }

    /// Instruments used on a dish's records, with the calibration that held.
    pub(super) fn instruments_shown(records: &[RecordDoc]) -> Vec<model::Instrument> {
        let mut uses: BTreeMap<&str, Vec<&InstrumentUse>> = BTreeMap::new();
        for given in all_given(records) {
            if let Some(used) = &given.instrument {
                uses.entry(used.instrument.as_str()).or_default().push(used);
            }
        }
        uses.into_iter().filter_map(|(id, uses)| instrument(id, &uses)).collect()
    }

    /// People who acted, with the state of their papers.
    pub(super) fn people_shown(
        &self,
        dish: &PositionDoc,
        records: &[RecordDoc],
    ) -> Result<Vec<model::Person>> {
        let people = self.people_of(dish)?;
        people.iter().map(|id| self.person_shown(id, records)).collect()
    }

    fn person_shown(&self, id: &str, records: &[RecordDoc]) -> Result<model::Person> {
        let person = self.person(id)?;
        let mut did = BTreeSet::new();
        let mut day = None;
        for attempt in records.iter().flat_map(|record| &record.attempts) {
            let mut note = |there: bool, what: &str, stamp: Option<&document::Stamp>| {
                if there {
                    did.insert(format!("{what} attempt {}", attempt.number));
                    day = day.or(stamp.map(|stamp| stamp.claimed.day()));
                }
            };
            let finished = attempt.finished.as_ref().filter(|stamp| stamp.person == id);
            note(finished.is_some(), "performed", finished);
            note(attempt.assisted_by.iter().any(|one| one == id), "assisted in", None);
            for witness in attempt.witnesses.iter().filter(|w| w.stamp.person == id) {
                let there = matches!(witness.witnessing, Witnessing::Present {});
                note(there, "witnessed", Some(&witness.stamp));
            }
            for review in attempt.reviews.iter().filter(|review| review.stamp.person == id) {
                note(true, "reviewed", Some(&review.stamp));
            }
            let typed_in = attempt.answers.values().flat_map(|answer| &answer.given).any(|given| {
                given.stamp.person == id && matches!(given.origin, Origin::Transcribed { .. })
            });
            note(typed_in, "typed in paper of", None);
        }
        let day = day.unwrap_or_else(|| person.enrolled.claimed.day());
        let papers: Vec<String> = person
            .papers
            .iter()
            .map(|paper| {
                let until = paper.expires.map_or("without end".to_owned(), |expires| {
                    let state = if expires < day { "EXPIRED" } else { "good" };
                    format!("to {} ({state} at the work)", expires.format("%-d %b %Y"))
                });
                format!("{} {}, {until}", paper.kind.replace('-', " "), paper.number)
            })
            .collect();
        Ok(model::Person {
            id: id.to_owned(),
            name: person.name.clone(),
            role: person.roles.iter().map(|held| held.role.title()).collect::<Vec<_>>().join(", "),
            did: if did.is_empty() {
                "opened the record".to_owned()
            } else {
                did.into_iter().collect::<Vec<_>>().join("; ")
            },
            qualification: papers.join("; "),
        })
    }
}

fn all_given(records: &[RecordDoc]) -> impl Iterator<Item = &Given> {
    records
        .iter()
        .flat_map(|record| &record.attempts)
        .flat_map(|attempt| attempt.answers.values())
        .flat_map(|answer| &answer.given)
}

fn instrument(id: &str, uses: &[&InstrumentUse]) -> Option<model::Instrument> {
    let last = uses.last()?;
    let overdue = uses.iter().filter(|used| !used.state.counts()).count();
    let calibrated = last.calibration.as_ref();
    let accuracy: Vec<String> = calibrated
        .map(|c| c.components.iter().map(|part| format!("{} ±{}", part.name, part.value)).collect())
        .unwrap_or_default();
    Some(model::Instrument {
        id: id.to_owned(),
        description: format!("{}; maker's number {}", last.description, last.maker_serial),
        accuracy: match accuracy.is_empty() {
            true => format!("shows {}", last.resolution),
            false => format!("{}; shows {}", accuracy.join(", "), last.resolution),
        },
        certificate: calibrated
            .map(|c| {
                format!(
                    "{} of {}, {}",
                    c.certificate,
                    c.calibrated.format("%-d %b %Y"),
                    c.laboratory
                )
            })
            .unwrap_or_default(),
        due: calibrated.map(|c| c.due.format("%-d %b %Y").to_string()).unwrap_or_default(),
        state: calibration(uses.iter().find(|used| !used.state.counts()).unwrap_or(last)),
        state_text: match overdue {
            0 => "in date at every use".to_owned(),
            out => format!("NOT IN DATE at {out} of {} uses", uses.len()),
        },
    })
}

fn calibration(used: &InstrumentUse) -> model::CalibrationState {
    match used.state {
        document::CalibrationState::InDate { .. } | document::CalibrationState::DueSoon { .. } => {
            model::CalibrationState::InDate
        }
        document::CalibrationState::Overdue { .. } => model::CalibrationState::OutOfDate,
        document::CalibrationState::NoneKnown | document::CalibrationState::NotRegistered => {
            model::CalibrationState::Unknown
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

/// An answer as typed, and its value in the base unit.
pub(super) fn answer_words(step: &Step, answer: &Answer) -> (String, String) {
    let option = |id: &str| -> String {
        let options = match &step.asks {
            Asks::Choice(choice) => &choice.options,
            Asks::Table(table) => &table.options,
            _ => return id.to_owned(),
        };
        options.iter().find(|o| o.id == id).map_or_else(|| id.to_owned(), |o| o.text.clone())
    };
    let plain = |text: String| (text, String::new());
    match answer {
        Answer::Confirmed {} => plain("confirmed".to_owned()),
        Answer::Read { reading } => {
            (reading.text.clone(), format!("{} {}", reading.base_value, reading.base_unit))
        }
        Answer::Chosen { option: id } => plain(option(id)),
        Answer::Photographed { photo } => plain(format!("photo {}", photo.short())),
        Answer::Tabulated { others, count, rows } => {
            let rows: Vec<String> =
                rows.iter().map(|row| format!("{}: {}", row.row, option(&row.choice))).collect();
            let rest = format!("{} of {count}: {}", usize_left(*count, rows.len()), option(others));
            plain(if rows.is_empty() { rest } else { format!("{}; {rest}", rows.join("; ")) })
        }
        Answer::Missing { reason } => plain(format!("not measured: {reason}")),
        Answer::NotApplicable { reason } => plain(format!("not applicable: {reason}")),
    }
}

fn usize_left(count: u32, named: usize) -> usize {
    usize::try_from(count).unwrap_or(usize::MAX).saturating_sub(named)
}

fn remark(given: &Given) -> String {
    let mut remarks: Vec<String> = given.flags.iter().map(|flag| flag.text.clone()).collect();
    remarks.extend(given.correction_reason.iter().map(|reason| format!("correction: {reason}")));
    remarks.extend(given.insisted.iter().map(|one| format!("insisted: {}", one.reason)));
    if given.awaits_confirmation() {
        remarks.push("the performer has not confirmed it".to_owned());
    }
    remarks.join("; ")
}

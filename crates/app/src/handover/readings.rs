//! Readings and answers of an attempt, one line each, in the order of the steps.

use logbook::document::{self, AttemptDoc, Given, HoldDoc, RecordDoc, WitnessDoc};
use logbook::events::{Answer, Origin, Witnessing};
use logbook::source::{Asks, Checklist, Step};
use quantity::{Decimal, StoredReading};
use report::model;

use super::crew::calibration;
use super::source::Source;
use super::taken::{At, insisted};
use crate::words;

/// Digits that are printed of a value in the base unit.
const DIGITS: u32 = 10;

impl Source<'_> {
    pub(super) fn readings(
        &self,
        record: &RecordDoc,
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
            let at = At { record, attempt, step, installation };
            readings.extend(self.survey_lines(&at));
            readings.extend(self.series_lines(&at));
            if let Some(hold) = attempt.holds.get(&step.id) {
                readings.push(self.hold(step, hold, installation));
            }
            let witnesses = attempt.witnesses.iter().filter(|witness| witness.step == step.id);
            readings.extend(witnesses.map(|witness| self.witnessed(step, witness, installation)));
        }
        readings
    }

    fn given(&self, step: &Step, given: &Given, installation: &str) -> model::Reading {
        let (performer, role) = given.performer();
        let (typed, normalised) = answer_words(step, &given.answer);
        // What was not measured says so; the reason stands with the remarks.
        let (as_typed, reason) = match typed.split_once(": ") {
            Some((what, reason)) if is_absent(&given.answer) => (what.to_owned(), reason),
            _ => (typed.clone(), ""),
        };
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
            remark: remark(given, &typed, reason),
        }
    }

    /// A witness point as dealt with.
    fn witnessed(&self, step: &Step, witness: &WitnessDoc, installation: &str) -> model::Reading {
        let (as_typed, remark) = match &witness.witnessing {
            Witnessing::Present {} => ("present".to_owned(), String::new()),
            Witnessing::InvitedAbsent { invited, invited_at, evidence } => (
                "invited, did not attend".to_owned(),
                format!(
                    "{} invited {}; {evidence}",
                    self.name(invited),
                    words::when_short(invited_at)
                ),
            ),
        };
        model::Reading {
            step: step.number.clone(),
            title: step.title.clone(),
            as_typed,
            normalised: String::new(),
            instrument: String::new(),
            calibration: model::CalibrationState::NotNeeded,
            calibration_text: String::new(),
            who: self.who(&witness.stamp.person, witness.stamp.role),
            worked_at: words::when_short(&witness.worked_at),
            how: "direct".to_owned(),
            entry: words::entry(installation, &witness.stamp),
            remark,
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
}

/// An answer as typed, and its value in the base unit.
pub(crate) fn answer_words(step: &Step, answer: &Answer) -> (String, String) {
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
        Answer::Read { reading } => (reading.text.clone(), base_words(reading)),
        Answer::Chosen { option: id } => plain(option(id)),
        Answer::Photographed { photo } => plain(format!("photo {}", photo.short())),
        Answer::Tabulated { others, count, rows } => {
            let rows: Vec<String> =
                rows.iter().map(|row| format!("{}: {}", row.row, option(&row.choice))).collect();
            let rest = format!("{} of {count}: {}", lines_left(*count, rows.len()), option(others));
            plain(if rows.is_empty() { rest } else { format!("{}; {rest}", rows.join("; ")) })
        }
        Answer::Missing { reason } => plain(format!("not measured: {reason}")),
        Answer::NotApplicable { reason } => plain(format!("not applicable: {reason}")),
    }
}

fn lines_left(count: u32, named: usize) -> usize {
    usize::try_from(count).unwrap_or(usize::MAX).saturating_sub(named)
}

/// A reading's value in the base unit, to ten digits: 180° has no last one. Nothing where it is
/// what was typed.
fn base_words(reading: &StoredReading) -> String {
    let value = match reading.base_value.parse::<Decimal>() {
        Ok(exact) => exact.round_sf(DIGITS).unwrap_or(exact).normalize().to_string(),
        Err(_) => reading.base_value.clone(),
    };
    let words = match reading.base_unit.as_str() {
        "1" => value,
        unit => format!("{value} {unit}"),
    };
    if words == reading.text.trim() { String::new() } else { words }
}

fn is_absent(answer: &Answer) -> bool {
    matches!(answer, Answer::Missing { .. } | Answer::NotApplicable { .. })
}

fn remark(given: &Given, typed: &str, reason: &str) -> String {
    let mut remarks: Vec<String> =
        Some(reason.to_owned()).into_iter().filter(|reason| !reason.is_empty()).collect();
    remarks
        .extend(given.flags.iter().map(|flag| &flag.text).filter(|text| *text != typed).cloned());
    remarks.extend(given.correction_reason.iter().map(|reason| format!("correction: {reason}")));
    remarks.extend(insisted(&given.insisted));
    if given.awaits_confirmation() {
        remarks.push("the performer has not confirmed it".to_owned());
    }
    remarks.join("; ")
}

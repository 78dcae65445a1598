//! A record's calculation, to be done again by hand: what its step gave, and where that came from.

use acceptance::Calculation;
use logbook::document::RecordDoc;
use logbook::source::{Checklist, Step};
use logbook::{Surroundings, judge};
use serde::Serialize;
use serde_json::Value;
use ts_rs::TS;

use super::eye::Eye;
use crate::calc;
use crate::error::{AppError, Result};

/// The input of a record's calculation, as its steps gave it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct CalculationOfStep {
    /// The calculation.
    pub(crate) name: String,
    #[ts(type = "unknown")]
    pub(crate) input: Value,
    pub(crate) from: CameFrom,
}

/// Where the input of a calculation came from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct CameFrom {
    pub(crate) record: String,
    pub(crate) step: String,
    pub(crate) position: String,
    /// The record's title.
    pub(crate) title: String,
    /// "PC-04, leak, attempt 3, step 22".
    pub(crate) words: String,
    /// What must be known about the input; empty when it is the one that was judged.
    pub(crate) note: String,
}

impl Eye<'_> {
    /// What the calculation of a step of the latest attempt is given.
    pub(crate) fn calculation_of_step(&self, typed: &str, step: &str) -> Result<CalculationOfStep> {
        let (_, record) = self.logbook.record(typed)?;
        let checklist = self.source.checklist_of(&record)?;
        let criteria = self.source.criteria_of(&record)?;
        let asked = checklist.calculation(step).map(|(step, _)| step);
        let asked = asked.ok_or_else(|| no_calculation(step))?;
        let Some(attempt) = record.latest() else { return Err(no_attempt(&record)) };
        // What was at hand when it was judged; before that, what is at hand now.
        let around = match attempt.verdict() {
            Some(verdict) => Surroundings::of_verdict(self.source.shelf, verdict)?,
            None => Surroundings::of(self.source.shelf, &record, attempt.number)?,
        };
        let number = attempt.number;
        let (name, input) =
            judge::input_of(&record, number, &checklist, &criteria, &around, &asked.id)
                .ok_or_else(|| no_calculation(step))?;
        let note = self.note(&record, &checklist, asked, calc::find(&name)?, &input);
        Ok(CalculationOfStep {
            from: CameFrom {
                record: record.record.to_string(),
                step: asked.id.clone(),
                position: record.position.clone(),
                title: record.title.clone(),
                words: format!(
                    "{}, {}, attempt {number}, step {}",
                    record.position, record.requirement, asked.number
                ),
                note: note.to_owned(),
            },
            name,
            input,
        })
    }

    /// What a reader has to know: whether this is what was judged.
    fn note(
        &self,
        record: &RecordDoc,
        checklist: &Checklist,
        step: &Step,
        calculation: &Calculation,
        input: &Value,
    ) -> &'static str {
        let Some(verdict) = record.latest().and_then(|attempt| attempt.verdict()) else {
            return "The attempt is not judged yet: this is what is entered so far.";
        };
        // An early verdict has one sheet and does not name its step.
        let first = checklist.calculations().next().is_some_and(|(one, _)| one.id == step.id);
        let judged = verdict
            .sheets
            .iter()
            .find(|one| one.step == step.id || one.step.is_empty() && first)
            .map(|one| &one.sheet);
        let now = calculation.run(input).ok();
        match (judged, now) {
            (Some(judged), Some(now)) if judged.inputs == now.inputs => "",
            (Some(_), _) => {
                "Something was entered since it was judged: this is what stands now, not what was \
                 judged."
            }
            (None, _) => "The verdict has no sheet of this calculation: it could not be done.",
        }
    }
}

fn no_calculation(step: &str) -> AppError {
    AppError::new(
        "record.other_form",
        format!("Step \"{step}\" of this record does not ask for a calculation."),
        "Load the record again, and open the calculation from the step that asks for it.",
    )
}

fn no_attempt(record: &RecordDoc) -> AppError {
    AppError::new(
        "record.no_attempt",
        format!("Nobody has begun \"{}\" yet: there is nothing to calculate with.", record.title),
        "Start the attempt, or open the calculation by itself and type the values.",
    )
}

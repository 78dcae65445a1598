//! The yard, a dish, a record with its steps, and readings weighed while they are typed.

use logbook::document::RecordDoc;
use logbook::judge;
use logbook::source::{Asks, Checklist};
use quantity::{Dimension, Field, Reading};

use super::args::{Nothing, PositionArgs, RecordArgs, StepArgs, WeighArgs};
use super::state::State;
use crate::error::{AppError, Result};
use crate::request::{Request, Response};
use crate::view::alignment::AlignmentView;
use crate::view::dish::DishView;
use crate::view::eye::Eye;
use crate::view::origin::CalculationOfStep;
use crate::view::record::RecordView;
use crate::view::steps::draft_name;
use crate::view::weigh::{Weighed, weigh};
use crate::view::yard::YardView;

impl State {
    pub(super) fn yard(&mut self, _: Nothing) -> Result<YardView> {
        self.look(|eye| eye.yard())
    }

    pub(super) fn dish(&mut self, args: PositionArgs) -> Result<DishView> {
        self.look(|eye| eye.dish_view(&args.position))
    }

    pub(super) fn record(&mut self, args: RecordArgs) -> Result<RecordView> {
        self.look(|eye| eye.record(&args.record))
    }

    pub(super) fn alignment(&mut self, args: StepArgs) -> Result<AlignmentView> {
        self.look(|eye| eye.alignment(&args.record, &args.step))
    }

    pub(super) fn calculation_of_step(&mut self, args: StepArgs) -> Result<CalculationOfStep> {
        self.look(|eye| eye.calculation_of_step(&args.record, &args.step))
    }

    /// The text is on the medium before anything is said about it.
    pub(super) fn weigh(&mut self, args: WeighArgs) -> Result<Weighed> {
        let logbook = self.open_mut()?;
        let (subject, record) = logbook.record(&args.record)?;
        let checklist = logbook.checklist_of(&record)?;
        let step = checklist.step(&args.step);
        let Some(Asks::Reading(asked)) = step.map(|step| &step.asks) else {
            return Err(AppError::new(
                "record.other_form",
                format!("Step \"{}\" of this record does not ask for a reading.", args.step),
                "Load the record again; what was typed stands in its field.",
            ));
        };
        let name = draft_name(&subject.to_string(), &args.step);
        logbook.store.put_draft(&name, args.text.as_bytes())?;
        let air = barometer(&record, &checklist);
        Ok(weigh(asked, &args.text, args.unit.as_deref(), air.as_ref()))
    }

    /// What is entered is no draft any more.
    pub(super) fn act(&mut self, request: Request) -> Result<Response> {
        let answered = match &request {
            Request::Answer(answer) | Request::Correct { answer, .. } => {
                Some((answer.record.clone(), answer.step.clone()))
            }
            _ => None,
        };
        let logbook = self.open_mut()?;
        let response = logbook.handle(request)?;
        if let Some((record, step)) = answered {
            let (subject, _) = logbook.record(&record)?;
            logbook.store.delete_draft(&draft_name(&subject.to_string(), &step))?;
        }
        Ok(response)
    }

    /// Looks into the open logbook.
    pub(super) fn look<T>(&self, at: impl FnOnce(&Eye<'_>) -> Result<T>) -> Result<T> {
        let logbook = self.open()?;
        let shelf = logbook.store.documents();
        at(&Eye::new(logbook, &shelf)?)
    }
}

/// The pressure of the surrounding air as the attempt has it, with the number of its step: the
/// reading that was given last.
fn barometer(record: &RecordDoc, checklist: &Checklist) -> Option<(String, Reading)> {
    let attempt = record.latest()?;
    checklist.steps.iter().rev().find_map(|step| {
        let Asks::Reading(asked) = &step.asks else { return None };
        if asked.quantity != Dimension::AbsolutePressure {
            return None;
        }
        let given = judge::counting(record, checklist, attempt.number, &step.id)?;
        let logbook::events::Answer::Read { reading } = &given.answer else { return None };
        let field = Field::of(asked.quantity).with_default_unit(&asked.unit)?;
        let read = quantity::parse(&reading.text, &field).ok()?;
        Some((step.number.clone(), read))
    })
}

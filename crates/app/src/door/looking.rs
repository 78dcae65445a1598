//! Scratch wiring.
use super::args::{Nothing, PositionArgs, RecordArgs, WeighArgs};
use super::state::State;
use crate::error::{AppError, Result};
use crate::view::dish::DishView;
use crate::view::eye::Eye;
use crate::view::record::RecordView;
use crate::view::weigh::{Weighed, weigh};
use crate::view::yard::YardView;
use logbook::source::Asks;

impl State {
    pub(super) fn yard(&mut self, _: Nothing) -> Result<YardView> {
        let logbook = self.open()?;
        let shelf = logbook.store.documents();
        Eye::new(logbook, &shelf)?.yard()
    }
    pub(super) fn dish(&mut self, args: PositionArgs) -> Result<DishView> {
        let logbook = self.open()?;
        let shelf = logbook.store.documents();
        Eye::new(logbook, &shelf)?.dish_view(&args.position)
    }
    pub(super) fn record(&mut self, args: RecordArgs) -> Result<RecordView> {
        let logbook = self.open()?;
        let shelf = logbook.store.documents();
        Eye::new(logbook, &shelf)?.record(&args.record)
    }
    pub(super) fn weigh(&mut self, args: WeighArgs) -> Result<Weighed> {
        let name = crate::view::steps::draft_name(&args.record, &args.step);
        self.open_mut()?.store.put_draft(&name, args.text.as_bytes())?;
        let logbook = self.open()?;
        let (_, record) = logbook.record(&args.record)?;
        let checklist = logbook.checklist_of(&record)?;
        match checklist.step(&args.step).map(|step| &step.asks) {
            Some(Asks::Reading(asked)) => Ok(weigh(asked, &args.text, args.unit.as_deref(), None)),
            _ => Err(AppError::new("x", "no reading", "")),
        }
    }
}

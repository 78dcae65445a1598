//! Commands whose screens are not built yet: each says so.

use super::answers::PhotoBytes;
use super::args::*;
use super::state::State;
use crate::error::{AppError, Result};
use crate::view::alignment::AlignmentView;
use crate::view::calculations::CalculationsView;
use crate::view::exchange::ExchangeView;
use crate::view::files::{SeriesPreview, SurveyPreview};
use crate::view::ledger::LedgerView;
use crate::view::locks::LocksView;
use crate::view::report::{FileBytes, ReportView, Saved};
use crate::view::sun::SunDay;
use crate::view::verdict::SheetView;

macro_rules! later {
    ($($name:ident($args:ty) -> $answer:ty;)*) => {
        impl State {
            $(pub(super) fn $name(&mut self, _: $args) -> Result<$answer> {
                Err(AppError::new(
                    "door.not_built",
                    concat!("The command \"", stringify!($name), "\" is not built yet."),
                    "Use the command line for it.",
                ))
            })*
        }
    };
}

later! {
    survey_read(SurveyReadArgs) -> SurveyPreview;
    series_read(SeriesReadArgs) -> SeriesPreview;
    alignment(StepArgs) -> AlignmentView;
    report(PositionArgs) -> ReportView;
    report_issue(PositionArgs) -> ReportView;
    report_sign(ReportSignArgs) -> ReportView;
    report_save(ReportSaveArgs) -> Saved;
    report_bytes(ReportArgs) -> FileBytes;
    locks(Nothing) -> LocksView;
    sun_day(SunDayArgs) -> SunDay;
    ledger(LedgerArgs) -> LedgerView;
    exchange(Nothing) -> ExchangeView;
    photo(PhotoArgs) -> PhotoBytes;
    calculations(Nothing) -> CalculationsView;
    calculate(CalculateArgs) -> SheetView;
}

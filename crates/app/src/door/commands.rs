//! The commands, listed once: this table is the dispatcher, the list of names that the window and
//! the page server let through, and the map that the screens are written against.

use serde::Serialize;
use serde::de::DeserializeOwned;
use serde_json::Value;

use super::answers::{Done, DraftText, PhotoBytes};
use super::args::*;
use super::state::State;
use crate::error::{AppError, Result};
use crate::request::{Request, Response};
use crate::view::alignment::AlignmentView;
use crate::view::calculations::{Calculated, CalculationsView};
use crate::view::dish::DishView;
use crate::view::exchange::ExchangeView;
use crate::view::files::{SeriesPreview, SurveyPreview};
use crate::view::form::CalculationForm;
use crate::view::ledger::LedgerView;
use crate::view::locks::LocksView;
use crate::view::origin::CalculationOfStep;
use crate::view::people::PeopleView;
use crate::view::record::RecordView;
use crate::view::report::{FileBytes, ReportView, Saved};
use crate::view::session::Session;
use crate::view::sun::SunDay;
use crate::view::weigh::Weighed;
use crate::view::yard::YardView;

/// Whether a call shows that somebody is at the tablet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Touch {
    /// A person did something.
    Hand,
    /// The screen asks by itself, as for the time of day.
    Screen,
}

macro_rules! commands {
    ($($(#[doc = $doc:literal])* $touch:ident $name:ident($args:ty) -> $answer:ty;)*) => {
        /// Every command by name.
        pub const COMMANDS: &[&str] = &[$(stringify!($name)),*];

        /// Whether a command counts as a touch; none for a command that there isn't.
        pub(super) fn touch(name: &str) -> Option<Touch> {
            match name {
                $(stringify!($name) => Some(Touch::$touch),)*
                _ => None,
            }
        }

        /// Carries out a command.
        pub(super) fn dispatch(state: &mut State, name: &str, args: Value) -> Result<Value> {
            match name {
                $(stringify!($name) => {
                    let args: $args = read(name, args)?;
                    let answer: $answer = state.$name(args)?;
                    write(name, &answer)
                })*
                _ => Err(unknown(name)),
            }
        }

        #[cfg(test)]
        pub(super) fn declare(list: &mut super::typescript::Declarations) {
            $(list.command::<$args, $answer>(stringify!($name), &[$($doc),*]);)*
        }
    };
}

commands! {
    /// Which folder is open, who acts, what time it is here.
    Screen session(Nothing) -> Session;
    /// Opens the data folder.
    Hand unlock(UnlockArgs) -> Session;
    /// Closes the data folder.
    Hand close(Nothing) -> Session;
    /// Everyone who may take the tablet.
    Screen people(Nothing) -> PeopleView;
    /// Makes a person the one who acts.
    Hand act_as(ActAsArgs) -> Session;
    /// Releases the person who acts; the form stays.
    Hand change_person(Nothing) -> Session;
    /// The yard and the morning list.
    Screen yard(Nothing) -> YardView;
    /// One dish.
    Screen dish(PositionArgs) -> DishView;
    /// One record.
    Screen record(RecordArgs) -> RecordView;
    /// Keeps what is typed and says what it would be as a reading: one call a keystroke.
    Hand weigh(WeighArgs) -> Weighed;
    /// Keeps what is typed.
    Hand draft_keep(DraftKeepArgs) -> Done;
    /// What was kept.
    Screen draft(DraftArgs) -> DraftText;
    /// Everything that enters something.
    Hand act(Request) -> Response;
    /// Reads a table of facets; enters nothing.
    Hand survey_read(SurveyReadArgs) -> SurveyPreview;
    /// Reads files of loggers and meters; enters nothing.
    Hand series_read(SeriesReadArgs) -> SeriesPreview;
    /// The facets of a survey step.
    Screen alignment(StepArgs) -> AlignmentView;
    /// Sign-off of a dish.
    Screen report(PositionArgs) -> ReportView;
    /// Issues the handover report.
    Hand report_issue(PositionArgs) -> ReportView;
    /// Signs a place of it.
    Hand report_sign(ReportSignArgs) -> ReportView;
    /// Saves the latest file of a report; a file that exists is never replaced.
    Hand report_save(ReportSaveArgs) -> Saved;
    /// The latest file of a report.
    Hand report_bytes(ReportArgs) -> FileBytes;
    /// The locks board.
    Screen locks(Nothing) -> LocksView;
    /// The sun over one local day.
    Screen sun_day(SunDayArgs) -> SunDay;
    /// A page of the ledger, the latest first.
    Screen ledger(LedgerArgs) -> LedgerView;
    /// Every chain known here.
    Screen exchange(Nothing) -> ExchangeView;
    /// A picture by its hash.
    Screen photo(PhotoArgs) -> PhotoBytes;
    /// The calculations that can be run by hand.
    Screen calculations(Nothing) -> CalculationsView;
    /// One of them, as a form.
    Screen calculation(CalculationArgs) -> CalculationForm;
    /// What the calculation of a record's step is given, and where that came from.
    Screen calculation_of_step(StepArgs) -> CalculationOfStep;
    /// Runs one.
    Hand calculate(CalculateArgs) -> Calculated;
}

fn read<T: DeserializeOwned>(name: &str, args: Value) -> Result<T> {
    // A call without anything is a call with an empty object.
    let args = if args.is_null() { Value::Object(serde_json::Map::new()) } else { args };
    serde_json::from_value(args).map_err(|cause| {
        AppError::new(
            "door.arguments",
            format!("The command \"{name}\" does not take this: {cause}."),
            "Nothing was entered. Load the screens again; they and the program must be of one \
             version.",
        )
    })
}

fn write<T: Serialize>(name: &str, answer: &T) -> Result<Value> {
    serde_json::to_value(answer)
        .map_err(|cause| AppError::internal(&format!("Answering the command {name}"), cause))
}

fn unknown(name: &str) -> AppError {
    let shown: String = name.chars().filter(|c| !c.is_control()).take(60).collect();
    AppError::new(
        "door.unknown_command",
        format!("There is no command \"{shown}\"."),
        "Load the screens again; they and the program must be of one version.",
    )
}

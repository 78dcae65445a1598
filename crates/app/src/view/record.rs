//! One record: a checklist filled for a dish, step by step.

use serde::Serialize;
use ts_rs::TS;

use super::common::{Flag, Knowledge, Moment};
use super::verdict::VerdictView;

/// A record with its latest attempt.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub(crate) struct RecordView {
    pub(crate) record: String,
    pub(crate) position: String,
    pub(crate) title: String,
    pub(crate) requirement: String,
    pub(crate) checklist: String,
    pub(crate) revision: String,
    pub(crate) purpose: String,
    pub(crate) cautions: Vec<String>,
    pub(crate) prerequisites: Vec<Prerequisite>,
    pub(crate) weather: Vec<WeatherLimit>,
    pub(crate) attempt: Option<AttemptView>,
    /// How many attempts there are.
    pub(crate) attempts: u32,
    pub(crate) may: May,
    /// The first open step; empty when none is open.
    pub(crate) current: String,
    pub(crate) steps: Vec<StepView>,
    pub(crate) verdict: Option<VerdictView>,
    pub(crate) reviews: Vec<ReviewGiven>,
    /// What must be known about this kind of record; may be empty.
    pub(crate) notice: String,
    pub(crate) knowledge: Knowledge,
}

/// What must stand before the work begins.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Prerequisite {
    pub(crate) id: String,
    pub(crate) kind: String,
    pub(crate) text: String,
}

/// A limit on the weather.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct WeatherLimit {
    pub(crate) title: String,
    pub(crate) limit: String,
    pub(crate) action: String,
}

/// The latest attempt.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct AttemptView {
    pub(crate) number: u32,
    pub(crate) state: String,
    pub(crate) state_word: String,
    pub(crate) started: Moment,
    pub(crate) by: String,
    pub(crate) flags: Vec<Flag>,
}

/// What the rules let the acting person do now.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, TS)]
pub(crate) struct May {
    pub(crate) start: bool,
    pub(crate) finish: bool,
    pub(crate) judge: bool,
    pub(crate) review: bool,
    pub(crate) interrupt: bool,
    /// What stands in the way of the next act; empty when nothing does.
    pub(crate) why_not: String,
}

/// A step with what was given to it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct StepView {
    pub(crate) id: String,
    pub(crate) number: String,
    pub(crate) title: String,
    pub(crate) text: String,
    pub(crate) caution: String,
    pub(crate) optional: bool,
    pub(crate) state: StepState,
    pub(crate) ask: Ask,
    /// Everything given, the last one counting.
    pub(crate) given: Vec<GivenView>,
    pub(crate) hold: Option<HoldView>,
    /// What was typed and not yet entered.
    pub(crate) draft: String,
}

/// Where a step stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, TS)]
#[serde(rename_all = "snake_case")]
pub(crate) enum StepState {
    Open,
    Done,
    Missing,
    NotApplicable,
    /// A hold that runs, or a step that another step must answer first.
    Waiting,
}

/// What a step asks for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub(crate) enum Ask {
    Confirm {},
    Reading {
        quantity: String,
        unit: String,
        units: Vec<String>,
        instrument_role: Option<String>,
        instruments: Vec<InstrumentChoice>,
    },
    Choice {
        options: Vec<OptionView>,
    },
    Photo {
        shows: String,
    },
    Hold {
        at_least: String,
        at_least_seconds: u32,
    },
    Table {
        rows: Vec<String>,
        options: Vec<OptionView>,
        good: String,
        instruments: Vec<InstrumentChoice>,
    },
    Survey {
        columns: Vec<Column>,
        rows: u32,
    },
    Series {
        channels: Vec<Channel>,
    },
    Calculation {
        name: String,
        title: String,
    },
    Witness {
        roles: Vec<String>,
    },
    Signature {},
}

/// An option of a choice or of a table's line.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
#[ts(rename = "Option")]
pub(crate) struct OptionView {
    pub(crate) id: String,
    pub(crate) text: String,
}

/// A column of a survey.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Column {
    pub(crate) id: String,
    pub(crate) title: String,
    pub(crate) unit: String,
}

/// A channel of a series.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Channel {
    pub(crate) id: String,
    pub(crate) title: String,
    pub(crate) unit: String,
    pub(crate) instruments: Vec<InstrumentChoice>,
}

/// An instrument that fits a step.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct InstrumentChoice {
    pub(crate) instrument: String,
    pub(crate) description: String,
    pub(crate) unit: String,
    /// "in date, due 15 Jan 2027".
    pub(crate) calibration: String,
    pub(crate) overdue: bool,
}

/// Something given to a step.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct GivenView {
    pub(crate) entry: String,
    /// As typed: "110.2 bar(g)".
    pub(crate) text: String,
    pub(crate) by: String,
    pub(crate) at: Moment,
    pub(crate) instrument: String,
    /// "direct", "transcribed from form F-0017", "corrected".
    pub(crate) how: String,
    pub(crate) flags: Vec<Flag>,
    /// Hash of the picture.
    pub(crate) photo: Option<String>,
    /// Why it was corrected or insisted on; may be empty.
    pub(crate) reason: String,
}

/// A timed wait.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct HoldView {
    pub(crate) started: Moment,
    pub(crate) by: String,
    pub(crate) ended: Option<Moment>,
    pub(crate) elapsed_seconds: u32,
    pub(crate) required_seconds: u32,
    /// When the required time is over by the wall clock.
    pub(crate) opens: Moment,
    /// True when a clock that nobody sets measured or measures it.
    pub(crate) by_clock: bool,
    /// What the wall clock did meanwhile; empty when it ran through.
    pub(crate) jumps: String,
}

/// A review.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct ReviewGiven {
    pub(crate) decision: String,
    pub(crate) by: String,
    pub(crate) at: Moment,
    pub(crate) reason: String,
}

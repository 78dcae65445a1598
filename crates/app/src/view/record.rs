//! One record: a checklist filled for a dish, step by step.

use logbook::Surroundings;
use logbook::document::{AttemptDoc, AttemptState, Interruption, RecordDoc, ReviewDoc};
use logbook::events::Decision;
use logbook::source::{Checklist, PrerequisiteKind};
use serde::Serialize;
use ts_rs::TS;

use super::asks::Filled;
use super::common::{Flag, Knowledge, Moment};
use super::eye::{Eye, count};
use super::steps::current;
use super::verdict::{SheetView, VerdictView};
use super::weather::WeatherLimit;
use crate::error::Result;

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

/// The latest attempt.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct AttemptView {
    pub(crate) number: u32,
    pub(crate) state: String,
    pub(crate) state_word: String,
    pub(crate) started: Moment,
    pub(crate) by: String,
    /// The permit's number; may be empty.
    pub(crate) permit: String,
    /// Names of those who help.
    pub(crate) assisted_by: Vec<String>,
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
    /// What stands in the way of noting the weather; empty when nothing does.
    pub(crate) why_not_weather: String,
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
    /// Of a calculation: its sheet, of the verdict or as it would be with what is entered so far.
    pub(crate) sheet: Option<SheetView>,
    /// Why there is no sheet, where the calculation could not be done with what is entered.
    pub(crate) sheet_why_not: String,
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
        instrument_role: Option<String>,
        instruments: Vec<InstrumentChoice>,
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
    /// "T1-0371".
    pub(crate) name: String,
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
    /// Where the wall clock jumps before the required time is over.
    pub(crate) cut: Option<HoldCut>,
}

/// A jump of the wall clock during a hold.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct HoldCut {
    /// Seconds after the start.
    pub(crate) after_seconds: u32,
    /// "clocks jump 00:00 to 01:00".
    pub(crate) label: String,
}

/// A review.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct ReviewGiven {
    pub(crate) decision: String,
    pub(crate) by: String,
    pub(crate) at: Moment,
    pub(crate) reason: String,
}

impl Eye<'_> {
    /// A record with its latest attempt.
    pub(crate) fn record(&self, typed: &str) -> Result<RecordView> {
        let (_, record) = self.logbook.record(typed)?;
        let checklist = self.source.checklist_of(&record)?;
        let criteria = self.source.criteria_of(&record)?;
        let number = record.latest().map_or(0, |attempt| attempt.number);
        let around = Surroundings::of(self.source.shelf, &record, number)?;
        let instruments = self.instruments()?;
        let filled = Filled {
            record: &record,
            checklist: &checklist,
            criteria: &criteria,
            around: &around,
            instruments: &instruments,
        };
        let steps = self.steps(&filled)?;
        let open = record.latest().is_some_and(|attempt| attempt.state.is_open());
        let latest = record.latest();
        Ok(RecordView {
            record: record.record.to_string(),
            position: record.position.clone(),
            title: record.title.clone(),
            requirement: record.requirement.clone(),
            checklist: record.checklist.id.clone(),
            revision: record.checklist.revision.clone(),
            purpose: checklist.purpose.clone(),
            cautions: checklist.cautions.clone(),
            prerequisites: prerequisites(&checklist),
            weather: self.weather(&checklist, &criteria, latest),
            attempt: latest.map(|attempt| self.attempt(attempt)),
            attempts: count(record.attempts.len()),
            may: self.may(&record, &checklist)?,
            current: if open { current(&steps) } else { String::new() },
            steps,
            verdict: latest.and_then(|attempt| attempt.verdicts.last()).map(|verdict| {
                VerdictView::of(verdict, around.design.as_ref().map(|(_, one)| one))
            }),
            reviews: latest
                .map(|attempt| attempt.reviews.iter().map(|review| self.given(review)).collect())
                .unwrap_or_default(),
            notice: self.notice(&record),
            knowledge: self.knowledge()?,
        })
    }

    fn attempt(&self, attempt: &AttemptDoc) -> AttemptView {
        let began = &attempt.started;
        AttemptView {
            number: attempt.number,
            state: state_name(attempt.state).to_owned(),
            state_word: attempt.state.words().to_owned(),
            started: self.moment(&attempt.worked_at),
            by: self.source.who(&began.person, began.role),
            permit: attempt.permit.clone().unwrap_or_default(),
            assisted_by: attempt.assisted_by.iter().map(|id| self.source.name(id)).collect(),
            flags: attempt
                .flags
                .iter()
                .map(|flag| Flag { code: flag.code.clone(), text: flag.text.clone() })
                .chain(attempt.interruptions.iter().map(|stop| self.interrupted(stop)))
                .collect(),
        }
    }

    fn interrupted(&self, stop: &Interruption) -> Flag {
        let by = self.source.who(&stop.stamp.person, stop.stamp.role);
        let when = self.when(&stop.worked_at);
        Flag {
            code: "interrupted".to_owned(),
            text: format!("Interrupted {when} by {by}: {}", stop.reason),
        }
    }

    fn given(&self, review: &ReviewDoc) -> ReviewGiven {
        ReviewGiven {
            decision: match review.decision {
                Decision::Accept => "accepted",
                Decision::Reject => "rejected",
            }
            .to_owned(),
            by: self.source.who(&review.stamp.person, review.stamp.role),
            at: self.moment(&review.stamp.claimed),
            reason: review.reason.clone().unwrap_or_default(),
        }
    }

    /// What must be known about a record that proves none of the required proofs.
    fn notice(&self, record: &RecordDoc) -> String {
        if self.ring.iter().any(|requirement| requirement.id == record.requirement) {
            return String::new();
        }
        "This is a record only: it proves none of the proofs that the dish owes, and it keeps no \
         lock. The lock board at the dish decides."
            .to_owned()
    }
}

/// The state's name for programs.
pub(crate) fn state_name(state: AttemptState) -> &'static str {
    match state {
        AttemptState::InProgress => "in_progress",
        AttemptState::Interrupted => "interrupted",
        AttemptState::AwaitingVerdict => "awaiting_verdict",
        AttemptState::NotJudged => "not_judged",
        AttemptState::AwaitingReview => "awaiting_review",
        AttemptState::Accepted => "accepted",
        AttemptState::Rejected => "rejected",
        AttemptState::EnteredInError => "entered_in_error",
    }
}

fn prerequisites(checklist: &Checklist) -> Vec<Prerequisite> {
    checklist
        .prerequisites
        .iter()
        .map(|needed| Prerequisite {
            id: needed.id.clone(),
            kind: match needed.kind {
                PrerequisiteKind::Lockout => "lockout",
                PrerequisiteKind::Proof => "proof",
                PrerequisiteKind::Document => "document",
                PrerequisiteKind::Condition => "condition",
            }
            .to_owned(),
            text: needed.text.clone(),
        })
        .collect()
}

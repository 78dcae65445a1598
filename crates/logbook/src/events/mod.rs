//! What can happen on a site: every entry kind of the logbook with its typed payload.
//!
//! A payload is canonical JSON: strings, integers, lists and objects only, absent fields left out.
//! A kind's payload never changes its meaning; a change that an older build would misread raises
//! the kind's version, and the older build then keeps the entry unread. A newer build reads the
//! older versions for ever, as what they say in today's form.

mod adoption;
mod asset;
mod instrument;
mod measured;
mod outcome;
mod people;
mod record;
mod site;
mod work;

pub use adoption::{ChecklistAdopted, CriteriaAdopted, DishDesignAdopted, RetestRulesAdopted};
pub use asset::{PositionRegistered, SerialFitted};
pub use instrument::{
    Accreditation, Component, Distribution, InstrumentCalibrated, InstrumentRegistered,
};
pub use measured::{
    IntervalLabel, LineRejected, LinesRead, OtherRows, RowState, SeriesChannel, SeriesFile,
    SeriesImported, SurveyColumn, SurveyRow, SurveySource, SurveyTaken,
};
use outcome::VerdictReachedV1;
pub use outcome::{
    AttemptFinished, AttemptWithdrawn, Decision, FindingClosed, FindingRaised, PunchCategory,
    RecordReviewed, ReportIssued, ReportSigned, StepSheet, StepWitnessed, VerdictReached,
    Witnessing,
};
pub use people::{Paper, PaperRecorded, PersonCertified, PersonEnrolled, Role, RoleHeld};
pub use record::{
    AttemptInterrupted, AttemptStarted, Observation, RecordOpened, SourceRevision, WeatherNoted,
};
pub use site::{Emergency, PlanPlace, SiteDescribed};
pub use work::{
    Answer, AnswerGiven, ClockReading, CorrectionMade, HoldEnded, HoldStarted, Insistence, Origin,
    TableRow, TranscriptionConfirmed,
};

use ledger::canonical;
use serde::Serialize;
use serde::de::DeserializeOwned;

/// A payload with the kind that its entry carries.
pub trait Payload: Serialize {
    /// The entry kind: past tense, lower case, underscores.
    const KIND: &'static str;
    /// The version of the kind that this build writes.
    const VERSION: u32;
    /// True when the entry must also carry the signature of the person who acts.
    const BINDS: bool;

    /// The payload's canonical bytes, ready to be sealed.
    ///
    /// # Errors
    /// Text or numbers outside the canonical form.
    fn to_bytes(&self) -> Result<Vec<u8>, ledger::CanonicalError>
    where
        Self: Sized,
    {
        canonical::to_bytes(self)
    }
}

/// Why a payload could not be taken as an event.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Unreadable {
    /// A kind, or a version of a kind, that this build does not know.
    Newer,
    /// A kind that this build knows, with bytes that do not fit it.
    Malformed(String),
}

/// One row of the table of kinds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Kind {
    /// The name in the header.
    pub name: &'static str,
    /// The version that this build writes.
    pub version: u32,
    /// The older versions that this build reads.
    pub older: &'static [u32],
    /// Whether the entry must carry the person's signature.
    pub binds: bool,
}

impl Kind {
    /// Whether this build reads a version of the kind.
    pub fn reads(&self, version: u32) -> bool {
        self.version == version || self.older.contains(&version)
    }
}

macro_rules! events {
    ($($name:ident, $kind:literal, $version:literal, $binds:literal
        $(, older: $($old_version:literal as $old:ident),+)?;)*) => {
        $(impl Payload for $name {
            const KIND: &'static str = $kind;
            const VERSION: u32 = $version;
            const BINDS: bool = $binds;
        })*

        /// A payload read from an entry.
        #[derive(Debug, Clone, PartialEq)]
        #[expect(missing_docs, reason = "each variant is its payload, documented there")]
        pub enum Event { $($name(Box<$name>),)* }

        /// Every kind that the logbook knows, in the order of this list.
        pub const KINDS: &[Kind] = &[
            $(Kind {
                name: $kind,
                version: $version,
                older: &[$($($old_version),+)?],
                binds: $binds,
            },)*
        ];

        impl Event {
            /// Reads a payload by its kind and version. An older version that this build knows
            /// comes back in today's form.
            ///
            /// # Errors
            /// [`Unreadable`]: there is no fallback to a default.
            pub fn read(kind: &str, version: u32, payload: &[u8]) -> Result<Self, Unreadable> {
                match (kind, version) {
                    $(($kind, $version) => payload_of::<$name>(payload)
                        .map(|event| Self::$name(Box::new(event))),
                    $($(($kind, $old_version) => payload_of::<$old>(payload)
                        .map(|event| Self::$name(Box::new(event.into()))),)+)?)*
                    _ => Err(Unreadable::Newer),
                }
            }
        }
    };
}

fn payload_of<T: DeserializeOwned>(payload: &[u8]) -> Result<T, Unreadable> {
    canonical::from_bytes(payload).map_err(|fault| Unreadable::Malformed(fault.to_string()))
}

events! {
    PersonEnrolled, "person_enrolled", 1, false;
    PaperRecorded, "paper_recorded", 1, false;
    PersonCertified, "person_certified", 1, false;
    InstrumentRegistered, "instrument_registered", 1, false;
    InstrumentCalibrated, "instrument_calibrated", 1, false;
    PositionRegistered, "position_registered", 1, false;
    SerialFitted, "serial_fitted", 1, false;
    ChecklistAdopted, "checklist_adopted", 1, false;
    CriteriaAdopted, "criteria_adopted", 1, false;
    RetestRulesAdopted, "retest_rules_adopted", 1, false;
    DishDesignAdopted, "dish_design_adopted", 1, false;
    SiteDescribed, "site_described", 1, false;
    RecordOpened, "record_opened", 1, false;
    AttemptStarted, "attempt_started", 1, false;
    AttemptInterrupted, "attempt_interrupted", 1, false;
    WeatherNoted, "weather_noted", 1, false;
    AnswerGiven, "answer_given", 1, false;
    SurveyTaken, "survey_taken", 1, false;
    SeriesImported, "series_imported", 1, false;
    HoldStarted, "hold_started", 1, false;
    HoldEnded, "hold_ended", 1, false;
    CorrectionMade, "correction_made", 1, false;
    TranscriptionConfirmed, "transcription_confirmed", 1, true;
    StepWitnessed, "step_witnessed", 1, true;
    AttemptFinished, "attempt_finished", 1, true;
    AttemptWithdrawn, "attempt_withdrawn", 1, false;
    VerdictReached, "verdict_reached", 2, false, older: 1 as VerdictReachedV1;
    RecordReviewed, "record_reviewed", 1, true;
    FindingRaised, "finding_raised", 1, false;
    FindingClosed, "finding_closed", 1, true;
    ReportIssued, "report_issued", 1, false;
    ReportSigned, "report_signed", 1, true;
}

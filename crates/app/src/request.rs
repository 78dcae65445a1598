//! What a front end may ask: one typed request for every use case, and its answer.
//!
//! The same requests serve the command line, the demo's story and, later, the window. Times of
//! work may be left out: then the app's clock says when.

mod measured;

pub use measured::{ImportSeries, LoggerFile, MeasuredRow, OthersAsked, TakeSurvey};

use logbook::Moment;
use logbook::events::{
    Decision, InstrumentCalibrated, InstrumentRegistered, PaperRecorded, PersonEnrolled,
    PunchCategory, Role, SiteDescribed,
};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// A file handed over with a request, in base64.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct Upload {
    /// The bytes, in base64.
    pub base64: String,
}

/// What was answered to a step, as typed.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Typed {
    /// Done or seen.
    Confirm {},
    /// A number with its unit, e.g. "110,2 bar"; without a unit the instrument's own is taken.
    Read(String),
    /// One option of the step.
    Choose(String),
    /// A picture.
    Photo(Upload),
    /// A table by exception.
    Table {
        /// The option for all lines not named.
        others: String,
        /// Lines counted at the dish.
        count: u32,
        /// Lines that differ.
        #[serde(default)]
        #[ts(optional, as = "Option<Vec<TypedRow>>")]
        rows: Vec<TypedRow>,
    },
    /// Nothing was measured, for this reason.
    Missing(String),
    /// The step does not apply, for this reason.
    NotApplicable(String),
}

/// One line of a table that differs from the others.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct TypedRow {
    /// The line, e.g. joint `G14`.
    pub row: String,
    /// The option chosen for it.
    pub choice: String,
    /// A reading that belongs to it, with unit.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub reading: Option<String>,
    /// What was seen.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub note: Option<String>,
}

/// Where a late entry comes from: a numbered paper form.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(rename = "PaperForm")]
pub struct Paper {
    /// The form's number.
    pub form: String,
    /// Photo of the page.
    pub page: Upload,
    /// Who did the work.
    pub performer: String,
    /// In which role.
    pub performer_role: Role,
}

/// An answer to one step of the open attempt.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct AnswerStep {
    /// The record.
    pub record: String,
    /// The step's id.
    pub step: String,
    /// The answer.
    pub typed: Typed,
    /// The instrument's id, where the step asks for one.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub instrument: Option<String>,
    /// Claimed time of work; the clock's when left out.
    #[serde(default)]
    #[ts(optional = nullable, type = "string")]
    pub worked_at: Option<Moment>,
    /// The paper that it is typed in from.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub paper: Option<Paper>,
    /// The reason for insisting on a questioned answer.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub insist: Option<String>,
}

/// One end of a hold.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct MarkHold {
    /// The record.
    pub record: String,
    /// The step's id.
    pub step: String,
    /// Claimed time of work; the clock's when left out.
    #[serde(default)]
    #[ts(optional = nullable, type = "string")]
    pub worked_at: Option<Moment>,
    /// The paper that it is typed in from.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub paper: Option<Paper>,
}

/// Which kind of file the site adopts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
pub enum Adoptable {
    /// A checklist.
    Checklist,
    /// A set of criteria.
    Criteria,
    /// Re-test rules.
    RetestRules,
    /// The design of a type of dish.
    DishDesign,
}

/// A witness point as dealt with.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", deny_unknown_fields)]
pub enum Witness {
    /// The acting person is the witness and was there.
    Present {},
    /// Invited with notice, and absent.
    InvitedAbsent {
        /// Who was invited.
        invited: String,
        /// When the invitation was given.
        #[ts(type = "string")]
        invited_at: Moment,
        /// How it can be shown.
        evidence: String,
    },
}

/// An open item, raised.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
pub struct RaiseFinding {
    /// The dish.
    pub position: String,
    /// What is wrong.
    pub text: String,
    /// Where on the dish.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub place: Option<String>,
    /// How much it blocks.
    pub category: PunchCategory,
    /// The record in which it came up.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub record: Option<String>,
    /// Photos.
    #[serde(default)]
    #[ts(optional, as = "Option<Vec<Upload>>")]
    pub photos: Vec<Upload>,
}

/// Everything that can be asked of an open logbook.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(tag = "do", rename_all = "snake_case", deny_unknown_fields)]
pub enum Request {
    /// Puts a person on the site's list.
    EnrolPerson(PersonEnrolled),
    /// Records a paper shown later.
    RecordPaper(PaperRecorded),
    /// Gives a person a PIN, a key and a certificate on this installation.
    GivePin {
        /// Whose.
        person: String,
        /// The PIN, typed by that person.
        pin: String,
    },
    /// Makes a person the one who acts, in a role.
    ActAs {
        /// Who.
        person: String,
        /// In which role.
        role: Role,
        /// Their PIN.
        pin: String,
    },
    /// Releases the acting person.
    ChangePerson {},
    /// Takes an instrument into use.
    RegisterInstrument(InstrumentRegistered),
    /// Enters a calibration certificate.
    RecordCalibration(InstrumentCalibrated),
    /// Registers a dish position; its check letter is worked out.
    RegisterPosition {
        /// Its code.
        position: String,
        /// Its cluster.
        cluster: String,
        /// The type of dish.
        dish_type: String,
        /// Named lists, e.g. `joints`.
        #[serde(default)]
        #[ts(optional, as = "Option<std::collections::BTreeMap<String, Vec<String>>>")]
        lists: std::collections::BTreeMap<String, Vec<String>>,
    },
    /// Fits a serial to a slot.
    FitSerial {
        /// The dish.
        position: String,
        /// The slot.
        slot: String,
        /// The serial.
        serial: String,
        /// Why, where another comes off.
        #[serde(default)]
        #[ts(optional = nullable)]
        reason: Option<String>,
        /// Claimed time of work.
        #[serde(default)]
        #[ts(optional = nullable, type = "string")]
        worked_at: Option<Moment>,
    },
    /// Says where the site lies, how its dishes stand, and what to do in an emergency.
    DescribeSite(SiteDescribed),
    /// Adopts a checklist, criteria, re-test rules or a dish design, content included.
    Adopt {
        /// Which kind.
        what: Adoptable,
        /// The file's text.
        content: String,
    },
    /// Opens a record: one filling of a checklist on one dish.
    OpenRecord {
        /// The dish, with or without check letter.
        position: String,
        /// The checklist's id; its newest adopted revision is taken.
        checklist: String,
        /// The criteria's id; their newest adopted revision is taken.
        criteria: String,
    },
    /// Starts the next attempt.
    StartAttempt {
        /// The record.
        record: String,
        /// The first step that is done anew; the checklist's first when left out.
        #[serde(default)]
        #[ts(optional = nullable)]
        from_step: Option<String>,
        /// Why there is another attempt.
        #[serde(default)]
        #[ts(optional = nullable)]
        reason: Option<String>,
        /// People who help.
        #[serde(default)]
        #[ts(optional, as = "Option<Vec<String>>")]
        assisted_by: Vec<String>,
        /// Permit number.
        #[serde(default)]
        #[ts(optional = nullable)]
        permit: Option<String>,
    },
    /// Notes the weather.
    NoteWeather {
        /// The record.
        record: String,
        /// What was seen.
        observations: Vec<logbook::events::Observation>,
    },
    /// Stops the attempt before its end.
    Interrupt {
        /// The record.
        record: String,
        /// Why.
        reason: String,
    },
    /// Answers a step.
    Answer(Box<AnswerStep>),
    /// Corrects the current answer to a step; the original stays visible.
    Correct {
        /// The answer as it should be.
        answer: Box<AnswerStep>,
        /// Why.
        reason: String,
    },
    /// Enters a measured table, typed or from a file.
    Survey(Box<TakeSurvey>),
    /// Enters time series from files of loggers and meters.
    ImportSeries(Box<ImportSeries>),
    /// Starts a hold.
    StartHold(MarkHold),
    /// Ends a hold.
    EndHold(MarkHold),
    /// The performer confirms everything of theirs that was typed in from paper.
    ConfirmTranscription {
        /// The record.
        record: String,
    },
    /// Deals with a witness point.
    DealWithWitness {
        /// The record.
        record: String,
        /// The step's id.
        step: String,
        /// What came of it.
        witness: Witness,
    },
    /// The performer finishes the attempt and signs for it.
    Finish {
        /// The record.
        record: String,
    },
    /// Judges the finished attempt by the adopted criteria.
    Judge {
        /// The record.
        record: String,
    },
    /// Another person reviews the judged attempt.
    Review {
        /// The record.
        record: String,
        /// Accept or reject.
        decision: Decision,
        /// Why; needed for a rejection.
        #[serde(default)]
        #[ts(optional = nullable)]
        reason: Option<String>,
    },
    /// Raises an open item.
    RaiseFinding(RaiseFinding),
    /// Verifies that an open item was done, by another person than the one who did it.
    CloseFinding {
        /// The finding.
        finding: String,
        /// Who did the work.
        done_by: String,
        /// What was done.
        done: String,
        /// Photos.
        #[serde(default)]
        #[ts(optional, as = "Option<Vec<Upload>>")]
        photos: Vec<Upload>,
    },
    /// Keeps what is typed and not yet entered; it never leaves this installation.
    KeepDraft {
        /// Which form and field.
        name: String,
        /// What was typed.
        text: String,
    },
    /// What was typed and not yet entered.
    Draft {
        /// Which form and field.
        name: String,
    },
}

/// What came of a request.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
#[serde(tag = "done", rename_all = "snake_case")]
pub enum Response {
    /// An entry was made and is durable.
    Entered {
        /// Its id.
        entry: String,
        /// What it is about: the new record, finding or person, where there is one.
        subject: String,
    },
    /// The attempt was judged; the verdict is an entry.
    Judged {
        /// Its id.
        entry: String,
        /// pass, fail or not_judged.
        #[ts(type = "\"pass\" | \"fail\" | \"not_judged\"")]
        verdict: logbook::judge::Verdict,
        /// Why.
        reason: String,
    },
    /// Who acts now; empty for nobody.
    Acting {
        /// The person.
        person: String,
        /// The role, in words.
        role: String,
    },
    /// A draft.
    Draft {
        /// What was typed; absent when nothing was.
        text: Option<String>,
    },
}

//! A record: one checklist filled for one dish, with all its attempts.

use std::collections::BTreeMap;

use ledger::{Digest, EntryId, Subject};
use serde::{Deserialize, Serialize};

use super::{InstrumentUse, SeriesDoc, Stamp, SurveyDoc, Unread};
use crate::Moment;
use crate::events::{
    Answer, ClockReading, Decision, Insistence, Observation, Origin, Role, SourceRevision,
    StepSheet, Witnessing,
};
use crate::judge::{LimitChecked, Verdict};

/// Where an attempt stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum AttemptState {
    /// Begun and not finished.
    InProgress,
    /// Stopped before its end, with a reason.
    Interrupted,
    /// Finished by the performer; not judged yet, or judged before a later change.
    AwaitingVerdict,
    /// It could not be judged. That is no failure.
    NotJudged,
    /// Done, awaiting review by another person.
    AwaitingReview,
    /// Accepted by another person.
    Accepted,
    /// Rejected by another person.
    Rejected,
    /// Entered in error; it counts for nothing and stays readable.
    EnteredInError,
}

impl AttemptState {
    /// In plain words.
    pub fn words(self) -> &'static str {
        match self {
            Self::InProgress => "in progress",
            Self::Interrupted => "interrupted",
            Self::AwaitingVerdict => "done, awaiting the verdict",
            Self::NotJudged => "not judged",
            Self::AwaitingReview => "done, awaiting review",
            Self::Accepted => "accepted",
            Self::Rejected => "rejected",
            Self::EnteredInError => "entered in error",
        }
    }

    /// True while the crew may still write into the attempt.
    pub fn is_open(self) -> bool {
        self == Self::InProgress
    }
}

/// Something that a reader must know about an answer or an attempt.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Flag {
    /// Stable code.
    pub code: String,
    /// In a sentence.
    pub text: String,
}

/// An answer as it was given at one time.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Given {
    /// The entry, who typed it and when.
    pub stamp: Stamp,
    /// Claimed time of work.
    pub worked_at: Moment,
    /// The answer.
    pub answer: Answer,
    /// The instrument as it was at the time of work.
    pub instrument: Option<InstrumentUse>,
    /// Direct, or transcribed from which form.
    pub origin: Origin,
    /// The performer's own confirmation of a transcription.
    pub confirmed: Option<Stamp>,
    /// The entry that this one corrects.
    pub corrects: Option<EntryId>,
    /// Why it was corrected.
    pub correction_reason: Option<String>,
    /// Questions that were overruled, with the reason.
    pub insisted: Vec<Insistence>,
    /// Files attached to the entry.
    pub attachments: Vec<Digest>,
    /// What a reader must know.
    pub flags: Vec<Flag>,
}

impl Given {
    /// Who did the work: the person of the entry, or the performer named on the paper.
    pub fn performer(&self) -> (&str, Option<Role>) {
        self.origin.performer(&self.stamp)
    }

    /// True for a transcription that its performer has not confirmed.
    pub fn awaits_confirmation(&self) -> bool {
        matches!(self.origin, Origin::Transcribed { .. }) && self.confirmed.is_none()
    }
}

/// Everything answered to one step of one attempt. Nothing is ever taken out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct AnswerDoc {
    /// The step's id.
    pub step: String,
    /// The original first, then each correction.
    pub given: Vec<Given>,
}

impl AnswerDoc {
    /// The answer that counts: the last one.
    pub fn current(&self) -> Option<&Given> {
        self.given.last()
    }
}

/// One end of a hold.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct HoldMark {
    /// The entry.
    pub stamp: Stamp,
    /// Claimed time.
    pub worked_at: Moment,
    /// The running clock.
    pub clock: Option<ClockReading>,
    /// Direct, or transcribed.
    pub origin: Origin,
    /// The performer's own confirmation of a transcription.
    pub confirmed: Option<Stamp>,
}

/// How long a hold lasted, by both means.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Elapsed {
    /// By a clock that ran through, in seconds; none when it did not.
    pub by_clock: Option<u64>,
    /// From the two claimed times with their offsets, in seconds; negative when they contradict.
    pub by_claims: i64,
}

impl Elapsed {
    /// The span that counts, in seconds: the running clock where there is one, otherwise the
    /// claimed times. None when the claimed end lies before the start.
    pub fn counted(&self) -> Option<u64> {
        self.by_clock.or_else(|| u64::try_from(self.by_claims).ok())
    }

    /// By which means the counted span was measured, in plain words.
    pub fn means(&self) -> &'static str {
        if self.by_clock.is_some() {
            "by a clock that ran through"
        } else {
            "from the two claimed times with their offsets"
        }
    }
}

/// A timed wait.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct HoldDoc {
    /// The step's id.
    pub step: String,
    /// Its start.
    pub start: HoldMark,
    /// Its end, once there is one.
    pub end: Option<HoldMark>,
    /// How long it lasted, once it has ended.
    pub elapsed: Option<Elapsed>,
    /// What a reader must know.
    pub flags: Vec<Flag>,
}

/// The attempt stopped before its end.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Interruption {
    /// The entry.
    pub stamp: Stamp,
    /// Why.
    pub reason: String,
    /// Claimed time.
    pub worked_at: Moment,
}

/// Weather as noted.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct WeatherDoc {
    /// The entry.
    pub stamp: Stamp,
    /// Claimed time of observation.
    pub worked_at: Moment,
    /// What was seen.
    pub observations: Vec<Observation>,
}

/// A witness point as dealt with.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct WitnessDoc {
    /// The entry.
    pub stamp: Stamp,
    /// The step's id.
    pub step: String,
    /// What came of it.
    pub witnessing: Witnessing,
    /// Claimed time.
    pub worked_at: Moment,
}

/// A verdict as reached at one time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct VerdictDoc {
    /// The entry.
    pub stamp: Stamp,
    /// Over all limits.
    pub verdict: Verdict,
    /// Why.
    pub reason: String,
    /// The criteria used.
    pub criteria: SourceRevision,
    /// Every limit.
    pub limits: Vec<LimitChecked>,
    /// Every calculation with its working, in the order of the steps.
    pub sheets: Vec<StepSheet>,
    /// The description of the site that was used, by its entry.
    pub site: Option<EntryId>,
    /// The design of the dish that was used.
    pub design: Option<SourceRevision>,
    /// The entries that it rests on.
    pub inputs: Vec<EntryId>,
    /// Later entries that change what it rests on; while there are any it does not count.
    pub overtaken_by: Vec<EntryId>,
}

impl VerdictDoc {
    /// The sheet of a calculation step.
    pub fn sheet_of(&self, step: &str) -> Option<&acceptance::Sheet> {
        self.sheets.iter().find(|one| one.step == step).map(|one| &one.sheet)
    }
}

/// A review.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct ReviewDoc {
    /// The entry.
    pub stamp: Stamp,
    /// The verdict's entry that the reviewer saw.
    pub verdict: EntryId,
    /// Accept or reject.
    pub decision: Decision,
    /// Why.
    pub reason: Option<String>,
    /// Later entries that change what was reviewed; while there are any it does not count.
    pub overtaken_by: Vec<EntryId>,
}

/// One attempt.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AttemptDoc {
    /// Its number, from 1.
    pub number: u32,
    /// Where it stands.
    pub state: AttemptState,
    /// What was fitted when it began.
    pub serials: Vec<SerialFittedThen>,
    /// The design of the dish's type that was adopted when it began.
    pub design: Option<SourceRevision>,
    /// The starting entry.
    pub started: Stamp,
    /// Claimed time of the start.
    pub worked_at: Moment,
    /// The first step done anew.
    pub from_step: String,
    /// Why there is another attempt.
    pub reason: Option<String>,
    /// People who helped.
    pub assisted_by: Vec<String>,
    /// Permit number.
    pub permit: Option<String>,
    /// Weather as noted.
    pub weather: Vec<WeatherDoc>,
    /// Answers by step id.
    pub answers: BTreeMap<String, AnswerDoc>,
    /// Measured tables by step id.
    pub surveys: BTreeMap<String, SurveyDoc>,
    /// Imported time series by step id.
    pub series: BTreeMap<String, SeriesDoc>,
    /// Holds by step id.
    pub holds: BTreeMap<String, HoldDoc>,
    /// Witness points dealt with.
    pub witnesses: Vec<WitnessDoc>,
    /// Where it stopped.
    pub interruptions: Vec<Interruption>,
    /// The performer's end, once there is one.
    pub finished: Option<Stamp>,
    /// Claimed time of the end of work.
    pub finished_at: Option<Moment>,
    /// Verdicts, the last one counting.
    pub verdicts: Vec<VerdictDoc>,
    /// Reviews, the last one counting.
    pub reviews: Vec<ReviewDoc>,
    /// Why it was withdrawn, with the entry.
    pub withdrawn: Option<(Stamp, String)>,
    /// What a reader must know.
    pub flags: Vec<Flag>,
}

impl AttemptDoc {
    /// Every entry of work with who acted and how it came in: answers, tables, both ends of holds.
    pub fn work(&self) -> impl Iterator<Item = (&Stamp, &Origin)> {
        let answers = self.answers.values().flat_map(|answer| &answer.given);
        let surveys = self.surveys.values().flat_map(|survey| &survey.given);
        let marks =
            self.holds.values().flat_map(|hold| std::iter::once(&hold.start).chain(&hold.end));
        answers
            .map(|given| (&given.stamp, &given.origin))
            .chain(surveys.map(|given| (&given.stamp, &given.origin)))
            .chain(marks.map(|mark| (&mark.stamp, &mark.origin)))
    }

    /// The entry that counts for a step: the last table or import, otherwise the last answer.
    pub fn counting_entry(&self, step: &str) -> Option<EntryId> {
        let survey = self.surveys.get(step).and_then(SurveyDoc::current);
        let series = self.series.get(step).and_then(SeriesDoc::current);
        survey
            .map(|given| given.stamp.entry)
            .or_else(|| series.map(|given| given.stamp.entry))
            .or_else(|| Some(self.answers.get(step)?.current()?.stamp.entry))
    }

    /// The verdict that counts.
    pub fn verdict(&self) -> Option<&VerdictDoc> {
        self.verdicts.last().filter(|verdict| verdict.overtaken_by.is_empty())
    }

    /// The review that counts.
    pub fn review(&self) -> Option<&ReviewDoc> {
        self.reviews.last().filter(|review| review.overtaken_by.is_empty())
    }
}

/// A serial that was fitted when a record was opened or an attempt began.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct SerialFittedThen {
    /// The slot.
    pub slot: String,
    /// The serial.
    pub serial: String,
}

/// A record.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct RecordDoc {
    /// The record.
    pub record: Subject,
    /// The dish position.
    pub position: String,
    /// The checklist's title.
    pub title: String,
    /// The requirement that it can prove.
    pub requirement: String,
    /// The checklist's revision.
    pub checklist: SourceRevision,
    /// The criteria's revision.
    pub criteria: SourceRevision,
    /// What was fitted when it was opened.
    pub serials: Vec<SerialFittedThen>,
    /// The position's lists when it was opened, which tables go through.
    pub lists: BTreeMap<String, Vec<String>>,
    /// The opening entry.
    pub opened: Stamp,
    /// Attempts, number 1 first.
    pub attempts: Vec<AttemptDoc>,
    /// Entries about this record that could not be taken into account.
    pub unread: Vec<Unread>,
}

impl RecordDoc {
    /// An attempt by its number.
    pub fn attempt(&self, number: u32) -> Option<&AttemptDoc> {
        self.attempts.iter().find(|attempt| attempt.number == number)
    }

    /// The latest attempt.
    pub fn latest(&self) -> Option<&AttemptDoc> {
        self.attempts.last()
    }
}

impl HoldMark {
    /// Who did the work: the person of the entry, or the performer named on the paper.
    pub fn performer(&self) -> (&str, Option<Role>) {
        self.origin.performer(&self.stamp)
    }

    /// True for a transcription that its performer has not confirmed.
    pub fn awaits_confirmation(&self) -> bool {
        matches!(self.origin, Origin::Transcribed { .. }) && self.confirmed.is_none()
    }
}

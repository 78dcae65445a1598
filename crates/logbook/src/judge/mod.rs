//! Judging an attempt: its answers against the adopted criteria, by the checklist's own mapping.
//!
//! No limit stands in this code. What is missing makes the result *not judged*, which is no failure.

mod inputs;
mod limits;
mod shares;

use acceptance::Calculation;
use ledger::EntryId;
use serde::{Deserialize, Serialize};

use crate::Moment;
use crate::document::{AttemptDoc, Given, HoldDoc, InstrumentUse, RecordDoc, SeriesDoc, SurveyDoc};
use crate::document::{SeriesGiven, SurveyGiven};
use crate::events::{Answer, Origin, SourceRevision, StepSheet};
use crate::proof::withheld_because;
use crate::refusal::Refusal;
use crate::source::{
    Asks, Checklist, Criteria, DecisionRule, InputFrom, Limit, SourceStatus, Step, limits_lacking,
};
use crate::surroundings::Surroundings;

/// What came out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Every limit is kept.
    Pass,
    /// It could not be judged; that is no failure.
    NotJudged,
    /// A limit is not kept.
    Fail,
}

impl Verdict {
    /// In plain words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Pass => "pass",
            Self::NotJudged => "not judged",
            Self::Fail => "fail",
        }
    }
}

/// One limit with what it was compared with.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LimitChecked {
    /// The limit's id.
    pub limit: String,
    /// What it limits.
    pub title: String,
    /// The limit as written, with the span that it refers to.
    pub value: String,
    /// The decision rule.
    pub rule: DecisionRule,
    /// What kind of source it has.
    pub status: SourceStatus,
    /// The source.
    pub source: String,
    /// What was found, in words or with unit.
    pub found: String,
    /// What came out for this limit.
    pub verdict: Verdict,
    /// Why, in a sentence.
    pub reason: String,
}

/// A judged attempt.
#[derive(Debug, Clone, PartialEq)]
pub struct Judgement {
    /// Over all limits.
    pub verdict: Verdict,
    /// Why, in a sentence.
    pub reason: String,
    /// Every calculation that could be run, with its working, in the order of the steps.
    pub sheets: Vec<StepSheet>,
    /// Steps whose calculation could not be run, each with the reason.
    pub refused: Vec<(String, String)>,
    /// The description of the site that was at hand, by its entry.
    pub site: Option<EntryId>,
    /// The dish design that was at hand.
    pub design: Option<SourceRevision>,
    /// Every limit, in the checklist's order.
    pub limits: Vec<LimitChecked>,
    /// The entries that the result rests on, in id order.
    pub inputs: Vec<EntryId>,
}

/// A calculation of the registry by its name.
pub(crate) fn calculation(name: &str) -> Option<&'static Calculation> {
    acceptance::calculation(name)
}

/// What a judgement looks at.
pub(crate) struct Case<'c> {
    pub(crate) record: &'c RecordDoc,
    pub(crate) attempt: &'c AttemptDoc,
    pub(crate) checklist: &'c Checklist,
    pub(crate) criteria: &'c Criteria,
    pub(crate) around: &'c Surroundings,
}

/// Judges one attempt by the checklist and the criteria that its record names.
///
/// # Errors
/// Only when there is no such attempt, or when the checklist or the criteria are others than the
/// record names. Anything missing or out of range in the answers is a result: not judged.
pub fn judge(
    record: &RecordDoc,
    attempt: u32,
    checklist: &Checklist,
    criteria: &Criteria,
    around: &Surroundings,
) -> Result<Judgement, Refusal> {
    let attempt = record.attempt(attempt).ok_or_else(|| {
        Refusal::new(
            "no_such_attempt",
            format!("This record has no attempt {attempt}."),
            "Choose one of its attempts.",
        )
    })?;
    let same = |named: &crate::events::SourceRevision, id: &str, revision: &str| {
        named.id == id && named.revision == revision
    };
    if !same(&record.checklist, &checklist.id, &checklist.revision)
        || !same(&record.criteria, &criteria.id, &criteria.revision)
    {
        return Err(Refusal::new(
            "other_revision",
            "The record was opened with another revision of the checklist or the criteria.",
            "Judge it by the revisions that it names.",
        ));
    }
    // A limit that is not there must not silently be no limit.
    let lacking = limits_lacking(checklist, criteria);
    if !lacking.is_empty() {
        return Err(Refusal::new(
            "limits_lacking",
            format!("The criteria have no limit {}.", lacking.join(", ")),
            "Adopt criteria that hold every limit that the checklist names.",
        ));
    }
    let case = Case { record, attempt, checklist, criteria, around };
    let runs = inputs::run_all(&case);
    let mut limits = limits::check_all(&case, &runs);
    doubt(&case, &mut limits);
    let mut used: Vec<EntryId> = runs.iter().flat_map(|run| &run.used).copied().collect();
    used.extend(limits::entries_used(&case));
    used.extend(case.looked_at());
    used.sort_unstable();
    used.dedup();
    let (verdict, reason) = overall(&limits);
    let refused = runs.iter().filter_map(|run| Some((run.step.clone(), run.refused.clone()?)));
    let refused = refused.collect();
    let sheets = runs
        .into_iter()
        .filter_map(|run| Some(StepSheet { step: run.step, sheet: run.sheet? }))
        .collect();
    Ok(Judgement {
        verdict,
        reason,
        sheets,
        refused,
        site: around.site.as_ref().map(|site| site.by.entry),
        design: around.design.as_ref().map(|(revision, _)| revision.clone()),
        limits,
        inputs: used,
    })
}

/// What the calculation of a step is given by an attempt: its name, and its input as far as there
/// is something. None when there is no such attempt, or when the step asks for no calculation.
pub fn input_of(
    record: &RecordDoc,
    attempt: u32,
    checklist: &Checklist,
    criteria: &Criteria,
    around: &Surroundings,
    step: &str,
) -> Option<(String, serde_json::Value)> {
    let attempt = record.attempt(attempt)?;
    let (_, asked) = checklist.calculation(step)?;
    let case = Case { record, attempt, checklist, criteria, around };
    Some((asked.name.clone(), inputs::input(&case, asked, &mut Vec::new())))
}

/// The worst verdict decides; its first limit says why.
fn overall(limits: &[LimitChecked]) -> (Verdict, String) {
    let worst = limits.iter().map(|limit| limit.verdict).max();
    let Some(worst) = worst else {
        return (Verdict::NotJudged, "The checklist names no condition of acceptance.".into());
    };
    let why = limits.iter().find(|limit| limit.verdict == worst);
    (worst, why.map(|limit| limit.reason.clone()).unwrap_or_default())
}

/// Takes back a pass that rests on something doubtful. A failure stays a failure.
fn doubt(case: &Case<'_>, limits: &mut [LimitChecked]) {
    let withheld = case
        .record
        .unread
        .first()
        .map(|unread| withheld_because(&unread.what, case.record.unread.len()));
    let missing = case.missing();
    let unconfirmed = case.unconfirmed();
    let uncalibrated = case.uncalibrated();
    let other_instrument = case.other_instrument_at_the_end();
    let no_inert_proof = case.no_inert_proof();
    for checked in limits.iter_mut().filter(|checked| checked.verdict == Verdict::Pass) {
        let safety = case.criteria.limit(&checked.limit).is_some_and(|limit| limit.safety);
        let why = withheld
            .clone()
            .or_else(|| missing.clone())
            .or_else(|| unconfirmed.clone())
            .or_else(|| other_instrument.clone().filter(|_| safety))
            .or_else(|| no_inert_proof.clone().filter(|_| safety))
            .or_else(|| uncalibrated.clone().filter(|_| safety));
        if let Some(why) = why {
            checked.verdict = Verdict::NotJudged;
            checked.reason = why;
        }
    }
}

impl<'c> Case<'c> {
    /// The answer to a step that counts for this attempt: its own, or for steps before the one at
    /// which it begins, that of an earlier attempt.
    pub(crate) fn answer(&self, step: &str) -> Option<&'c Given> {
        counting(self.record, self.checklist, self.attempt.number, step)
    }

    /// The hold that counts for this attempt, found in the same way.
    pub(crate) fn hold(&self, step: &str) -> Option<&'c HoldDoc> {
        self.chain(step).find_map(|attempt| attempt.holds.get(step))
    }

    /// The table that counts for this attempt, found in the same way.
    pub(crate) fn survey(&self, step: &str) -> Option<&'c SurveyGiven> {
        self.chain(step).find_map(|attempt| attempt.surveys.get(step).and_then(SurveyDoc::current))
    }

    /// The import that counts for this attempt, found in the same way.
    pub(crate) fn series(&self, step: &str) -> Option<&'c SeriesGiven> {
        self.chain(step).find_map(|attempt| attempt.series.get(step).and_then(SeriesDoc::current))
    }

    /// The claimed time of work of a step.
    pub(crate) fn worked_at(&self, step: &str) -> Option<&'c Moment> {
        let survey = || self.survey(step).map(|given| &given.worked_at);
        let series = || self.series(step).map(|given| &given.worked_at);
        let hold = || self.hold(step).map(|hold| &hold.start.worked_at);
        self.answer(step)
            .map(|given| &given.worked_at)
            .or_else(survey)
            .or_else(series)
            .or_else(hold)
    }

    /// The instruments with which a step was done.
    fn instruments(&self, step: &str) -> Vec<&'c InstrumentUse> {
        let answer = self.answer(step).and_then(|given| given.instrument.as_ref());
        let survey = self.survey(step).and_then(|given| given.instrument.as_ref());
        let series = self.series(step).into_iter().flat_map(|given| given.instruments.values());
        answer.into_iter().chain(survey).chain(series).collect()
    }

    /// The attempts in which the answer to a step may stand, latest first.
    fn chain(&self, step: &str) -> impl Iterator<Item = &'c AttemptDoc> {
        attempts_for(self.record, self.checklist, self.attempt.number, step)
    }

    /// The first step that had to be answered and holds no answer, or only the reason why not.
    /// A photo shows what was read and decides nothing, so its absence does not withhold a verdict.
    fn missing(&self) -> Option<String> {
        let needed = |step: &&Step| {
            !step.optional
                && (step.asks.takes_answer() || step.asks.takes_many())
                && !matches!(step.asks, Asks::Photo(_))
        };
        self.checklist.steps.iter().filter(needed).find_map(|step| {
            let many = self.survey(&step.id).is_some() || self.series(&step.id).is_some();
            match self.answer(&step.id).map(|given| &given.answer) {
                _ if many => None,
                None => Some(format!("Step {} ({}) is not answered.", step.number, step.title)),
                Some(Answer::Missing { reason }) => {
                    let reason = reason.trim_end().trim_end_matches('.');
                    Some(format!("Step {} ({}) is missing: {reason}.", step.number, step.title))
                }
                Some(_) => None,
            }
        })
    }

    /// What the doubts above look at, beside what is compared with a limit: a correction or a
    /// confirmation of any of it can turn the verdict, so the verdict rests on all of it.
    fn looked_at(&self) -> Vec<EntryId> {
        let mut seen = Vec::new();
        for step in &self.checklist.steps {
            let answer = self.answer(&step.id).filter(|given| {
                !matches!(step.asks, Asks::Photo(_))
                    || matches!(given.origin, Origin::Transcribed { .. })
            });
            seen.extend(answer.map(|given| given.stamp.entry));
            seen.extend(self.survey(&step.id).map(|given| given.stamp.entry));
            seen.extend(self.series(&step.id).map(|given| given.stamp.entry));
            let marks = self.hold(&step.id);
            let marks =
                marks.into_iter().flat_map(|hold| std::iter::once(&hold.start).chain(&hold.end));
            seen.extend(marks.map(|mark| mark.stamp.entry));
        }
        seen
    }

    /// The first answer, typed in from paper, that its performer has not confirmed.
    fn unconfirmed(&self) -> Option<String> {
        self.checklist.steps.iter().find_map(|step| {
            let of_answer = self.answer(&step.id).is_some_and(Given::awaits_confirmation)
                || self.survey(&step.id).is_some_and(SurveyGiven::awaits_confirmation);
            let of_hold = self.hold(&step.id).is_some_and(|hold| {
                std::iter::once(&hold.start)
                    .chain(&hold.end)
                    .any(crate::document::HoldMark::awaits_confirmation)
            });
            (of_answer || of_hold).then(|| {
                format!(
                    "Step {} was typed in from paper and the performer has not confirmed it.",
                    step.number
                )
            })
        })
    }

    /// The answer that feeds an input of the calculation.
    fn input(&self, path: &str) -> Option<&'c Given> {
        self.checklist.calculations().find_map(|(_, calculated)| {
            match calculated.inputs.get(path)? {
                InputFrom::Answer(step) => self.answer(step),
                _ => None,
            }
        })
    }

    /// What start and end of a hold are read with must be one instrument: its scale error is
    /// then common to both readings, and that is how the calculation takes it.
    fn other_instrument_at_the_end(&self) -> Option<String> {
        ["gauge_pressure", "temperature", "barometer"].iter().find_map(|what| {
            let used = |end: &str| {
                let given = self.input(&format!("{end}.{what}"))?;
                given.instrument.as_ref().map(|used| used.instrument.as_str())
            };
            let (start, end) = (used("start")?, used("end")?);
            (start != end).then(|| {
                format!("Start and end were read with different instruments, {start} and {end}.")
            })
        })
    }

    /// Hydrogen comes after an inert gas. This version can't look for that proof, so a result
    /// with hydrogen waits for people who can.
    fn no_inert_proof(&self) -> Option<String> {
        let given = self.input("gas")?;
        let hydrogen = matches!(&given.answer, Answer::Chosen { option } if option == "hydrogen");
        hydrogen.then(|| {
            "With hydrogen: this version can't show that the circuit passed with an inert gas \
             before, on the same serials."
                .to_owned()
        })
    }

    /// The first reading whose instrument was not in date at the time of work.
    fn uncalibrated(&self) -> Option<String> {
        self.checklist.steps.iter().find_map(|step| {
            let instruments = self.instruments(&step.id);
            let used = instruments.into_iter().find(|used| !used.state.counts());
            used.map(|used| {
                format!(
                    "{} was used at step {} and is {}; such a reading can't alone accept a safety limit.",
                    used.instrument,
                    step.number,
                    used.state.words()
                )
            })
        })
    }
}

/// The answer to a step that counts for an attempt, taken from an earlier one where the attempt
/// begins after the step.
pub fn counting<'r>(
    record: &'r RecordDoc,
    checklist: &Checklist,
    attempt: u32,
    step: &str,
) -> Option<&'r Given> {
    attempts_for(record, checklist, attempt, step)
        .find_map(|attempt| attempt.answers.get(step)?.current())
}

/// The attempts in which the answer to a step may stand, latest first. An attempt that begins at a
/// later step takes what lies before it from the attempt before.
pub fn attempts_for<'r>(
    record: &'r RecordDoc,
    checklist: &Checklist,
    number: u32,
    step: &str,
) -> impl Iterator<Item = &'r AttemptDoc> + use<'r> {
    let place = checklist.place(step);
    let mut reachable = Vec::new();
    for attempt in record.attempts.iter().rev().filter(|attempt| attempt.number <= number) {
        if attempt.number != number
            && attempt.state == crate::document::AttemptState::EnteredInError
        {
            continue;
        }
        reachable.push(attempt);
        if checklist.place(&attempt.from_step) <= place {
            break;
        }
    }
    reachable.into_iter()
}

/// A limit with its span, as printed.
pub(crate) fn limit_text(limit: &Limit) -> String {
    match &limit.per {
        Some(per) => format!("{} per {per}", limit.value),
        None => limit.value.clone(),
    }
}

//! The steps of a record: what was given to each, what counts, and which one comes next.

use logbook::Surroundings;
use logbook::document::{self, AttemptDoc, Given, RecordDoc, SeriesGiven, SurveyGiven};
use logbook::events::{Answer, Origin, RowState, StepSheet, SurveySource, Witnessing};
use logbook::judge::attempts_for;
use logbook::source::{Asks, Checklist, Criteria, Step};

use super::asks::{Filled, limit_seconds};
use super::common::Flag;
use super::eye::Eye;
use super::record::{Ask, GivenView, HoldView, StepState, StepView};
use super::verdict::SheetView;
use crate::error::Result;
use crate::handover::answer_words;
use crate::words;

/// Under which name the text of a reading is kept until it is entered.
pub(crate) fn draft_name(record: &str, step: &str) -> String {
    format!("reading/{record}/{step}")
}

impl Eye<'_> {
    /// Every step with what stands in it for the latest attempt.
    pub(crate) fn steps(&self, filled: &Filled<'_>) -> Result<Vec<StepView>> {
        let Filled { record, checklist, criteria, around, .. } = *filled;
        let sheets = sheets_of(record, checklist, criteria, around);
        filled.checklist.steps.iter().map(|step| self.step(filled, &sheets, step)).collect()
    }

    fn step(&self, filled: &Filled<'_>, sheets: &Sheets, step: &Step) -> Result<StepView> {
        let record = filled.record;
        let latest = record.latest();
        let number = latest.map_or(0, |attempt| attempt.number);
        let source = attempts_for(record, filled.checklist, number, &step.id)
            .find(|attempt| stands_in(attempt, step));
        let hold = source.and_then(|attempt| self.hold_of(filled, attempt, step));
        let name = draft_name(&record.record.to_string(), &step.id);
        let draft = self.logbook.store.draft(&name)?;
        let ask = self.ask(filled, step);
        let given = source.map(|attempt| self.given_to(attempt, step, &ask)).unwrap_or_default();
        Ok(StepView {
            id: step.id.clone(),
            number: step.number.clone(),
            title: step.title.clone(),
            text: step.text.clone(),
            caution: step.caution.clone().unwrap_or_default(),
            optional: step.optional,
            state: state(step, source, latest, hold.as_ref()),
            ask,
            given,
            hold,
            sheet_why_not: sheets.why_not(&step.id),
            sheet: sheets.sheets.iter().find(|one| one.step == step.id).map(|one| {
                let design = filled.around.design.as_ref().map(|(_, design)| design);
                SheetView::of(&one.step, &one.sheet, design)
            }),
            draft: draft
                .map(|bytes| String::from_utf8_lossy(&bytes).into_owned())
                .unwrap_or_default(),
        })
    }

    fn hold_of(&self, filled: &Filled<'_>, attempt: &AttemptDoc, step: &Step) -> Option<HoldView> {
        let (Asks::Hold(asked), Some(hold)) = (&step.asks, attempt.holds.get(&step.id)) else {
            return None;
        };
        let required = limit_seconds(filled.criteria, &asked.at_least);
        Some(self.hold(hold, filled.checklist, required))
    }

    /// Everything given to a step of one attempt, the last one counting.
    fn given_to(&self, attempt: &AttemptDoc, step: &Step, ask: &Ask) -> Vec<GivenView> {
        let mut list: Vec<GivenView> = Vec::new();
        let answers = attempt.answers.get(&step.id).into_iter().flat_map(|answer| &answer.given);
        list.extend(answers.map(|given| self.answer(step, given)));
        let surveys = attempt.surveys.get(&step.id).into_iter().flat_map(|survey| &survey.given);
        let total = match ask {
            Ask::Survey { rows, .. } => usize::try_from(*rows).unwrap_or_default(),
            _ => 0,
        };
        list.extend(surveys.map(|given| self.survey(given, total)));
        let series = attempt.series.get(&step.id).into_iter().flat_map(|series| &series.given);
        list.extend(series.map(|given| self.series(step, given)));
        let witnesses = attempt.witnesses.iter().filter(|witness| witness.step == step.id);
        list.extend(witnesses.map(|witness| {
            let text = match &witness.witnessing {
                Witnessing::Present {} => "present".to_owned(),
                Witnessing::InvitedAbsent { invited, evidence, .. } => format!(
                    "{} was invited and did not attend. {evidence}",
                    self.source.name(invited)
                ),
            };
            self.plain(&witness.stamp, &witness.worked_at, text)
        }));
        if let (Asks::Signature(_), Some(stamp)) = (&step.asks, &attempt.finished) {
            let at = attempt.finished_at.as_ref().unwrap_or(&stamp.claimed);
            list.push(self.plain(stamp, at, "signed".to_owned()));
        }
        named(&mut list);
        list
    }

    fn plain(&self, stamp: &document::Stamp, at: &logbook::Moment, text: String) -> GivenView {
        GivenView {
            entry: stamp.entry.to_string(),
            name: self.entry_name(&stamp.chain, stamp.number),
            text,
            by: self.source.who(&stamp.person, stamp.role),
            at: self.moment(at),
            instrument: String::new(),
            how: "direct".to_owned(),
            flags: Vec::new(),
            photo: None,
            reason: String::new(),
        }
    }

    fn answer(&self, step: &Step, given: &Given) -> GivenView {
        let (performer, role) = given.performer();
        let mut flags = flags(&given.flags);
        if let Some(used) = given.instrument.as_ref().filter(|used| !used.state.counts()) {
            let text = format!("{}: {}", used.instrument, used.state.words());
            if flags.iter().all(|flag| !flag.text.contains(&used.instrument)) {
                flags.push(Flag { code: "calibration".to_owned(), text });
            }
        }
        if given.awaits_confirmation() {
            flags.push(Flag {
                code: "unconfirmed".to_owned(),
                text: "The performer has not confirmed what was typed in.".to_owned(),
            });
        }
        let mut reasons: Vec<String> = given.correction_reason.iter().cloned().collect();
        reasons.extend(given.insisted.iter().map(|one| one.reason.clone()));
        // One reason may serve for both: it is said once.
        reasons.dedup();
        GivenView {
            by: self.source.who(performer, role),
            instrument: given
                .instrument
                .as_ref()
                .map(|used| used.instrument.clone())
                .unwrap_or_default(),
            how: how(&given.origin, given.corrects.is_some()),
            flags,
            photo: match &given.answer {
                Answer::Photographed { photo } => Some(photo.to_string()),
                _ => None,
            },
            reason: reasons.join("; "),
            ..self.plain(&given.stamp, &given.worked_at, told(step, &given.answer))
        }
    }

    fn survey(&self, given: &SurveyGiven, total: usize) -> GivenView {
        let (performer, role) = given.performer();
        let measured = given.rows.iter().filter(|row| row.state == RowState::Measured).count();
        let from = match &given.source {
            SurveySource::Typed {} => "typed in".to_owned(),
            SurveySource::File { name, .. } => format!("from {name}"),
        };
        let others = match total.saturating_sub(given.rows.len()) {
            0 => String::new(),
            left => format!("; the other {left} {}", given.others.state()),
        };
        GivenView {
            by: self.source.who(performer, role),
            instrument: given
                .instrument
                .as_ref()
                .map(|used| used.instrument.clone())
                .unwrap_or_default(),
            how: how(&given.origin, given.replaces.is_some()),
            flags: flags(&given.flags),
            reason: given.reason.clone().unwrap_or_default(),
            ..self.plain(
                &given.stamp,
                &given.worked_at,
                format!("{measured} measured of {} named{others}; {from}", given.rows.len()),
            )
        }
    }

    fn series(&self, step: &Step, given: &SeriesGiven) -> GivenView {
        let files: Vec<&str> = given.files.iter().map(|file| file.name.as_str()).collect();
        let channels: Vec<String> = given
            .channels
            .iter()
            .map(|channel| {
                let title = channel_title(step, &channel.id);
                format!("{title}: {}", words::count(channel.times.len(), "value", "values"))
            })
            .collect();
        let instruments: Vec<&str> =
            given.files.iter().map(|file| file.instrument.as_str()).collect();
        GivenView {
            instrument: instruments.join(", "),
            how: if given.replaces.is_some() { "replaced" } else { "direct" }.to_owned(),
            flags: flags(&given.flags),
            reason: given.reason.clone().unwrap_or_default(),
            ..self.plain(
                &given.stamp,
                &given.worked_at,
                format!("{}; from {}", channels.join("; "), files.join(", ")),
            )
        }
    }
}

/// An answer in words, with what was seen at lines that differ.
fn told(step: &Step, answer: &Answer) -> String {
    let mut text = answer_words(step, answer).0;
    if let Answer::Tabulated { rows, .. } = answer {
        for row in rows {
            if let Some(note) = &row.note {
                text.push_str(&format!("; {}: “{note}”", row.row));
            }
        }
    }
    text
}

/// The title of a channel; of one that the checklist does not name, its id.
fn channel_title<'c>(step: &'c Step, id: &'c str) -> &'c str {
    let Asks::Series(asked) = &step.asks else { return id };
    asked.channels.iter().find(|channel| channel.id == id).map_or(id, |found| found.title.as_str())
}

/// The calculations of an attempt: their sheets, and those that could not be run with the reason.
#[derive(Default)]
pub(crate) struct Sheets {
    pub(crate) sheets: Vec<StepSheet>,
    refused: Vec<(String, String)>,
}

impl Sheets {
    /// Why a step's calculation could not be run; empty where it could.
    pub(crate) fn why_not(&self, step: &str) -> String {
        let found = self.refused.iter().find(|(of, _)| of == step);
        found.map(|(_, why)| why.clone()).unwrap_or_default()
    }
}

/// A sheet for each calculation of the latest attempt: those of its verdict, else as they come out
/// of what is entered so far. The sun over a job and the errors of the facets are needed while the
/// work goes on, long before anybody judges it.
pub(crate) fn sheets_of(
    record: &RecordDoc,
    checklist: &Checklist,
    criteria: &Criteria,
    around: &Surroundings,
) -> Sheets {
    let Some(attempt) = record.latest() else { return Sheets::default() };
    if let Some(verdict) = attempt.verdict() {
        let mut sheets = verdict.sheets.clone();
        // An early verdict has one sheet and does not name its step.
        let first = checklist.calculations().next().map(|(step, _)| step.id.clone());
        for sheet in sheets.iter_mut().filter(|sheet| sheet.step.is_empty()) {
            sheet.step = first.clone().unwrap_or_default();
        }
        return Sheets { sheets, ..Sheets::default() };
    }
    logbook::judge::judge(record, attempt.number, checklist, criteria, around)
        .map(|judged| Sheets { sheets: judged.sheets, refused: judged.refused })
        .unwrap_or_default()
}

/// Puts the names of entries where flags tell of their ids: "replaces entry T1-0356".
fn named(list: &mut [GivenView]) {
    let names: Vec<(String, String)> =
        list.iter().map(|one| (one.entry.clone(), one.name.clone())).collect();
    for flag in list.iter_mut().flat_map(|one| &mut one.flags) {
        for (entry, name) in &names {
            flag.text = flag.text.replace(entry.as_str(), name);
        }
    }
}

fn flags(list: &[document::Flag]) -> Vec<Flag> {
    list.iter().map(|flag| Flag { code: flag.code.clone(), text: flag.text.clone() }).collect()
}

fn how(origin: &Origin, again: bool) -> String {
    match origin {
        Origin::Transcribed { form, .. } => format!("transcribed from form {form}"),
        Origin::Direct {} if again => "corrected".to_owned(),
        Origin::Direct {} => "direct".to_owned(),
    }
}

/// Whether an attempt holds anything of its own for a step.
fn stands_in(attempt: &AttemptDoc, step: &Step) -> bool {
    match &step.asks {
        Asks::Hold(_) => attempt.holds.contains_key(&step.id),
        Asks::Witness(_) => attempt.witnesses.iter().any(|witness| witness.step == step.id),
        Asks::Signature(_) => attempt.finished.is_some(),
        Asks::Calculation(_) => attempt.verdict().is_some(),
        _ => attempt.counting_entry(&step.id).is_some(),
    }
}

fn state(
    step: &Step,
    source: Option<&AttemptDoc>,
    latest: Option<&AttemptDoc>,
    hold: Option<&HoldView>,
) -> StepState {
    match &step.asks {
        Asks::Hold(_) => match hold {
            None => StepState::Open,
            Some(hold) if hold.ended.is_none() => StepState::Waiting,
            Some(_) => StepState::Done,
        },
        // Both belong to the attempt itself; nothing is taken over from an earlier one.
        Asks::Calculation(_) => match latest.and_then(AttemptDoc::verdict) {
            Some(_) => StepState::Done,
            None => StepState::Waiting,
        },
        Asks::Signature(_) => match latest.and_then(|attempt| attempt.finished.as_ref()) {
            Some(_) => StepState::Done,
            None => StepState::Open,
        },
        _ => {
            let answer = source.and_then(|attempt| attempt.answers.get(&step.id));
            let many = source.is_some_and(|attempt| {
                attempt.surveys.contains_key(&step.id) || attempt.series.contains_key(&step.id)
            });
            match answer.and_then(|answer| answer.current()).map(|given| &given.answer) {
                _ if many => StepState::Done,
                Some(Answer::Missing { .. }) => StepState::Missing,
                Some(Answer::NotApplicable { .. }) => StepState::NotApplicable,
                Some(_) => StepState::Done,
                None if source.is_some() => StepState::Done,
                None => StepState::Open,
            }
        }
    }
}

/// The step that comes next: the first that has to be answered, or an optional one just before
/// it. A hold that runs comes before what follows it.
pub(crate) fn current(steps: &[StepView]) -> String {
    let waits = |step: &StepView| step.state == StepState::Waiting && step.hold.is_some();
    let open = |step: &StepView| step.state == StepState::Open || waits(step);
    let needed = steps.iter().position(|step| open(step) && !step.optional);
    let first = match needed {
        Some(mut at) => {
            while at > 0 && steps.get(at - 1).is_some_and(|step| open(step) && step.optional) {
                at -= 1;
            }
            steps.get(at)
        }
        None => steps.iter().find(|step| open(step)),
    };
    first.map(|step| step.id.clone()).unwrap_or_default()
}

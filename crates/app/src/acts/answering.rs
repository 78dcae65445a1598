//! Answers, holds and corrections: from what was typed to an entry, by way of the rules.

use ledger::{Digest, Subject};
use logbook::document::RecordDoc;
use logbook::events::{
    Answer, AnswerGiven, ClockReading, CorrectionMade, HoldEnded, HoldStarted, Insistence, Origin,
    Role, TableRow,
};
use logbook::rules::Act;
use logbook::source::{Asks, Step};
use logbook::{Moment, typed};

use crate::acts::entered;
use crate::acts::records::latest;
use crate::error::{AppError, Result};
use crate::logbook::Logbook;
use crate::request::{AnswerStep, MarkHold, Paper, Response, Typed, TypedRow};
use crate::write::uploaded;

/// An answer ready to be entered, with the files that belong to it.
struct Prepared {
    answer: Answer,
    files: Vec<Vec<u8>>,
    insisted: Vec<Insistence>,
}

/// One end of a hold, ready for its event.
struct EndOfHold {
    subject: Subject,
    attempt: u32,
    step: String,
    role: Role,
    origin: Origin,
    worked_at: Moment,
    clock: Option<ClockReading>,
    files: Vec<Vec<u8>>,
}

impl Logbook {
    pub(super) fn answer(&mut self, asked: AnswerStep) -> Result<Response> {
        let (subject, record) = self.record(&asked.record)?;
        let mut prepared = self.prepare(&record, &asked)?;
        let origin = origin(asked.paper.as_ref(), &mut prepared.files)?;
        let mut given = AnswerGiven {
            attempt: latest(&record)?.number,
            step: asked.step,
            answer: prepared.answer,
            instrument: asked.instrument,
            role: self.role()?,
            origin,
            insisted: prepared.insisted,
            worked_at: self.worked_at(asked.worked_at.as_ref())?,
        };
        self.allow_insisting(&subject, &mut given, asked.insist.as_deref())?;
        let entry = self.enter(&subject, &given, &prepared.files)?;
        Ok(entered(&entry, &subject))
    }

    /// Asks the rules; a stated reason overrules each question that may be overruled.
    fn allow_insisting(
        &self,
        subject: &Subject,
        given: &mut AnswerGiven,
        reason: Option<&str>,
    ) -> Result<()> {
        loop {
            let act = Act::Answer(subject, given);
            let Err(refused) = self.ask_rules(&act)? else {
                return Ok(());
            };
            let overruled = refused.refusal().filter(|refusal| {
                refusal.may_insist && given.insisted.iter().all(|one| one.code != refusal.code)
            });
            match (overruled, reason) {
                (Some(refusal), Some(reason)) => given
                    .insisted
                    .push(Insistence { code: refusal.code.to_owned(), reason: reason.to_owned() }),
                _ => return Err(refused.into()),
            }
        }
    }

    pub(super) fn correct(&mut self, asked: AnswerStep, reason: String) -> Result<Response> {
        let (subject, record) = self.record(&asked.record)?;
        let prepared = self.prepare(&record, &asked)?;
        let current = record
            .attempts
            .iter()
            .rev()
            .find_map(|attempt| attempt.answers.get(&asked.step)?.current())
            .ok_or_else(|| {
                AppError::new(
                    "record.nothing_to_correct",
                    format!("Step {} has no answer that could be corrected.", asked.step),
                    "Answer the step.",
                )
            })?;
        let made = CorrectionMade {
            corrects: current.stamp.entry,
            answer: prepared.answer,
            instrument: asked.instrument,
            reason,
            role: self.role()?,
            worked_at: asked.worked_at.unwrap_or_else(|| current.worked_at.clone()),
            insisted: prepared.insisted,
        };
        self.may(&Act::Correct(&subject, &made))?;
        let entry = self.enter(&subject, &made, &prepared.files)?;
        Ok(entered(&entry, &subject))
    }

    pub(super) fn start_hold(&mut self, mark: MarkHold) -> Result<Response> {
        let at = self.end_of_hold(mark)?;
        let started = HoldStarted {
            attempt: at.attempt,
            step: at.step,
            role: at.role,
            origin: at.origin,
            worked_at: at.worked_at,
            clock: at.clock,
        };
        self.may(&Act::StartHold(&at.subject, &started))?;
        let entry = self.enter(&at.subject, &started, &at.files)?;
        Ok(entered(&entry, &at.subject))
    }

    pub(super) fn end_hold(&mut self, mark: MarkHold) -> Result<Response> {
        let at = self.end_of_hold(mark)?;
        let ended = HoldEnded {
            attempt: at.attempt,
            step: at.step,
            role: at.role,
            origin: at.origin,
            worked_at: at.worked_at,
            clock: at.clock,
        };
        self.may(&Act::EndHold(&at.subject, &ended))?;
        let entry = self.enter(&at.subject, &ended, &at.files)?;
        Ok(entered(&entry, &at.subject))
    }

    /// What either end of a hold needs, start or finish.
    fn end_of_hold(&self, mark: MarkHold) -> Result<EndOfHold> {
        let (subject, record) = self.record(&mark.record)?;
        let mut files = Vec::new();
        Ok(EndOfHold {
            attempt: latest(&record)?.number,
            role: self.role()?,
            origin: origin(mark.paper.as_ref(), &mut files)?,
            worked_at: self.worked_at(mark.worked_at.as_ref())?,
            clock: self.running_clock(mark.worked_at.is_some(), mark.paper.is_some()),
            step: mark.step,
            subject,
            files,
        })
    }

    /// The clock that nobody sets measures only what is marked at the moment itself.
    fn running_clock(&self, claimed: bool, from_paper: bool) -> Option<ClockReading> {
        if claimed || from_paper {
            return None;
        }
        let now = self.clock.read();
        let milliseconds = u64::try_from(now.elapsed.as_millis()).ok()?;
        Some(ClockReading { boot: now.boot, milliseconds })
    }

    fn prepare(&self, record: &RecordDoc, asked: &AnswerStep) -> Result<Prepared> {
        let checklist = self.checklist_of(record)?;
        let step = checklist.step(&asked.step).ok_or_else(|| {
            AppError::new(
                "record.unknown_step",
                format!("The checklist has no step \"{}\".", asked.step),
                "Choose one of its steps.",
            )
        })?;
        let mut prepared =
            Prepared { answer: Answer::Confirmed {}, files: Vec::new(), insisted: Vec::new() };
        prepared.answer = match &asked.typed {
            Typed::Confirm {} => Answer::Confirmed {},
            Typed::Read(text) => self.read_value(step, asked, text, &mut prepared)?,
            Typed::Choose(option) => Answer::Chosen { option: option.clone() },
            Typed::Photo(upload) => {
                let bytes = uploaded(upload)?;
                let photo = Digest::of(&bytes);
                prepared.files.push(bytes);
                Answer::Photographed { photo }
            }
            Typed::Table { others, count, rows } => Answer::Tabulated {
                others: others.clone(),
                count: *count,
                rows: rows.iter().map(table_row).collect::<Result<_>>()?,
            },
            Typed::Missing(reason) => Answer::Missing { reason: reason.clone() },
            Typed::NotApplicable(reason) => Answer::NotApplicable { reason: reason.clone() },
        };
        Ok(prepared)
    }

    fn read_value(
        &self,
        step: &Step,
        asked: &AnswerStep,
        text: &str,
        prepared: &mut Prepared,
    ) -> Result<Answer> {
        let Asks::Reading(reading) = &step.asks else {
            return Err(AppError::new(
                "record.no_reading",
                format!("Step {} asks for a {}, not for a number.", step.number, step.asks.name()),
                "Answer it in that form.",
            ));
        };
        let typed = typed::reading(reading, text)?;
        match (typed.question, &asked.insist) {
            (None, _) => {}
            (Some(question), None) => return Err(question.into()),
            (Some(question), Some(reason)) => prepared
                .insisted
                .push(Insistence { code: question.code.to_owned(), reason: reason.clone() }),
        }
        Ok(Answer::Read { reading: typed.reading })
    }
}

fn table_row(row: &TypedRow) -> Result<TableRow> {
    if row.reading.is_some() {
        return Err(AppError::new(
            "record.row_reading",
            format!("Line {} carries a reading, which tables do not take yet.", row.row),
            "Write the value and its unit into the line's note.",
        ));
    }
    Ok(TableRow {
        row: row.row.clone(),
        choice: row.choice.clone(),
        reading: None,
        note: row.note.clone(),
    })
}

/// Where an answer comes from; the page's photo joins the files of the entry.
fn origin(paper: Option<&Paper>, files: &mut Vec<Vec<u8>>) -> Result<Origin> {
    let Some(paper) = paper else { return Ok(Origin::Direct {}) };
    let bytes = uploaded(&paper.page)?;
    let page = Digest::of(&bytes);
    files.push(bytes);
    Ok(Origin::Transcribed {
        form: paper.form.clone(),
        page,
        performer: paper.performer.clone(),
        performer_role: paper.performer_role,
    })
}

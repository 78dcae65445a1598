//! Files of loggers, meters and alignment boards, looked at before anything is entered.

use chrono::{DateTime, FixedOffset, TimeDelta};
use logbook::files::{self, Lines};
use logbook::source::{Asks, Step};
use logbook::{Surroundings, document::RecordDoc};

use super::args::{SeriesReadArgs, SurveyReadArgs};
use super::state::State;
use crate::acts::measuring::{facet_form, series_form};
use crate::error::{AppError, Result};
use crate::request::LoggerFile;
use crate::view::eye::{Eye, count};
use crate::view::files::{FileQuestion, Rejected, SeriesFilePreview, SeriesPreview, SurveyPreview};
use crate::view::record::OptionView;
use crate::write::uploaded;

/// So many lines are looked at for the name of a dish.
const HEAD: usize = 10;
const UTC: &str = "+00:00";

impl State {
    pub(super) fn survey_read(&mut self, args: SurveyReadArgs) -> Result<SurveyPreview> {
        self.look(|eye| {
            let (record, step) = eye.step_of(&args.record, &args.step)?;
            let Asks::Survey(asked) = &step.asks else { return Err(other_form(&step)) };
            let number = record.latest().map_or(0, |attempt| attempt.number);
            let around = Surroundings::of(eye.source.shelf, &record, number)?;
            let known = around.lines(&record, asked)?;
            let bytes = uploaded(&args.file)?;
            let mut read = files::facet_table(&bytes, &facet_form(asked, known, args.answers))?;
            read.decisions.extend(eye.other_dish(&bytes, &record.position)?);
            Ok(SurveyPreview {
                rows: rows(&read.lines),
                used: count(read.lines.used),
                rejected: rejected(&read.lines),
                decisions: read.decisions,
                first: read.first,
                last: read.last,
                question: read.question.map(FileQuestion::from),
            })
        })
    }

    pub(super) fn series_read(&mut self, args: SeriesReadArgs) -> Result<SeriesPreview> {
        self.look(|eye| {
            let (record, step) = eye.step_of(&args.record, &args.step)?;
            let mut preview =
                SeriesPreview { files: Vec::new(), pictures: Vec::new(), warnings: Vec::new() };
            for file in &args.files {
                let read = eye.series_file(&step, file)?;
                let other = eye.other_dish(&uploaded(&file.file)?, &record.position)?;
                preview.warnings.extend(other.map(|other| format!("{}: {other}", file.name)));
                preview.warnings.extend(
                    read.warnings.iter().map(|warning| format!("{}: {warning}", file.name)),
                );
                preview.pictures.extend(crate::view::files::pictures(&file.name, &read));
                preview.files.push(SeriesFilePreview {
                    name: file.name.clone(),
                    form: match read.form {
                        Some(files::Form::Meter) => "meter",
                        Some(files::Form::Logger) => "logger",
                        None => "",
                    }
                    .to_owned(),
                    channels: read.channels.iter().map(|one| one.id.clone()).collect(),
                    rows: rows(&read.lines),
                    used: count(read.lines.used),
                    rejected: rejected(&read.lines),
                    decisions: read.decisions,
                    first: read.first,
                    last: read.last,
                    zone: read.zone.unwrap_or_default(),
                    question: read.question.map(FileQuestion::from),
                });
            }
            Ok(preview)
        })
    }
}

impl Eye<'_> {
    fn step_of(&self, record: &str, step: &str) -> Result<(RecordDoc, Step)> {
        let (_, record) = self.logbook.record(record)?;
        let checklist = self.source.checklist_of(&record)?;
        let step = checklist.step(step).cloned().ok_or_else(|| {
            AppError::new(
                "record.unknown_step",
                format!("The checklist has no step \"{step}\"."),
                "Load the record again and choose one of its steps.",
            )
        })?;
        Ok((record, step))
    }

    fn series_file(&self, step: &Step, file: &LoggerFile) -> Result<files::SeriesFile> {
        let Asks::Series(asked) = &step.asks else { return Err(other_form(step)) };
        let mut form = series_form(asked, file)?;
        form.zones = self.zones();
        Ok(files::series(&uploaded(&file.file)?, &form)?)
    }

    /// Offsets to offer where a file does not say its own: those that the site's clocks keep through
    /// the year, today's first, and UTC. A logger often keeps one of them all year.
    fn zones(&self) -> Vec<files::Choice> {
        let now = self.source.now.at();
        let offset = |at: &DateTime<FixedOffset>| self.zone.local(at).format("%:z").to_string();
        let today = offset(&now);
        let mut zones = vec![files::Choice {
            text: format!("local time as the site keeps it today, UTC{today}"),
            id: today.clone(),
        }];
        for month in 1..12 {
            let other = offset(&(now + TimeDelta::days(30 * month)));
            if zones.iter().all(|zone| zone.id != other) {
                zones.push(files::Choice {
                    text: format!("the site's time at another season, kept all year, UTC{other}"),
                    id: other,
                });
            }
        }
        if zones.iter().all(|zone| zone.id != UTC) {
            zones.push(files::Choice { id: UTC.to_owned(), text: "UTC".to_owned() });
        }
        zones
    }

    /// A file that names another dish of the site among its first lines, and not this one.
    fn other_dish(&self, bytes: &[u8], position: &str) -> Result<Option<String>> {
        let text = String::from_utf8_lossy(bytes);
        let head: Vec<&str> = text.lines().take(HEAD).collect();
        let names = |code: &str| {
            head.iter().any(|line| line.split(|c: char| !in_code(c)).any(|word| word == code))
        };
        if names(position) {
            return Ok(None);
        }
        let others = self.dishes()?.into_iter().map(|dish| dish.position);
        Ok(others
            .into_iter()
            .find(|code| names(code))
            .map(|other| format!("The file names {other}, and this record is of {position}.")))
    }
}

/// Signs that a position's code is made of.
fn in_code(c: char) -> bool {
    c.is_ascii_alphanumeric() || c == '-'
}

impl From<files::Question> for FileQuestion {
    fn from(question: files::Question) -> Self {
        let choice = |one: files::Choice| OptionView { id: one.id, text: one.text };
        Self {
            id: question.id,
            title: question.title,
            sentence: question.sentence,
            choices: question.choices.into_iter().map(choice).collect(),
        }
    }
}

/// Lines that could hold a row.
fn rows(lines: &Lines) -> u32 {
    count(lines.used + lines.rejected.len())
}

fn rejected(lines: &Lines) -> Vec<Rejected> {
    lines
        .rejected
        .iter()
        .map(|one| Rejected { line: count(one.line), reason: one.reason.clone() })
        .collect()
}

fn other_form(step: &Step) -> AppError {
    AppError::new(
        "record.other_form",
        format!("Step {} asks for a {}, not for such a file.", step.number, step.asks.name()),
        "Choose the step that the file belongs to; nothing was entered.",
    )
}

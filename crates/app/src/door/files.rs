//! Files of loggers, meters and alignment boards, looked at before anything is entered.

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

impl State {
    pub(super) fn survey_read(&mut self, args: SurveyReadArgs) -> Result<SurveyPreview> {
        self.look(|eye| {
            let (record, step) = eye.step_of(&args.record, &args.step)?;
            let Asks::Survey(asked) = &step.asks else { return Err(other_form(&step)) };
            let number = record.latest().map_or(0, |attempt| attempt.number);
            let around = Surroundings::of(eye.source.shelf, &record, number)?;
            let known = around.lines(&record, asked)?;
            let bytes = uploaded(&args.file)?;
            let read = files::facet_table(&bytes, &facet_form(asked, known, args.answers))?;
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
            let (_, step) = eye.step_of(&args.record, &args.step)?;
            let mut preview =
                SeriesPreview { files: Vec::new(), pictures: Vec::new(), warnings: Vec::new() };
            for file in &args.files {
                let read = eye.series_file(&step, file)?;
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

    /// Offsets to offer where a file does not say its own: the site's now, and UTC.
    fn zones(&self) -> Vec<files::Choice> {
        let local = self.zone.local(&self.source.now.at());
        let offset = local.format("%:z").to_string();
        let mut zones = vec![files::Choice {
            text: format!("local time of the site today, UTC{offset}"),
            id: offset,
        }];
        zones.push(files::Choice { id: "+00:00".to_owned(), text: "UTC".to_owned() });
        zones
    }
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

//! Measured tables and time series: from a file's bytes or typed rows to an entry. The bytes of a
//! file stay with the entry, whatever was read from them.

use ledger::Digest;
use logbook::document::RecordDoc;
use logbook::events::{
    Insistence, IntervalLabel, LineRejected, LinesRead, Origin, OtherRows, RowState, SeriesChannel,
    SeriesFile, SeriesImported, SurveyColumn, SurveyRow, SurveySource, SurveyTaken,
};
use logbook::files::{self, Channel, Column, FacetFile, FacetForm, Form, Label, SeriesForm};
use logbook::rules::{Act, MayNot};
use logbook::source::{Asks, SeriesAsked, Step, SurveyAsked};
use logbook::{Moment, Surroundings};
use quantity::Field;

use crate::acts::entered;
use crate::acts::records::latest;
use crate::error::{AppError, Result};
use crate::logbook::Logbook;
use crate::request::{ImportSeries, LoggerFile, MeasuredRow, OthersAsked, Response, TakeSurvey};
use crate::write::uploaded;

impl Logbook {
    pub(super) fn take_survey(&mut self, asked: TakeSurvey) -> Result<Response> {
        let (subject, record) = self.record(&asked.record)?;
        let checklist = self.checklist_of(&record)?;
        let step = step_of(&checklist, &asked.step)?;
        let Asks::Survey(wanted) = &step.asks else { return Err(other_form(step, "a table")) };
        let attempt = latest(&record)?;
        let around = self.surroundings(&record, attempt.number)?;
        let mut attached = Vec::new();
        let (source, columns, rows) = match &asked.file {
            Some(upload) => {
                let bytes = uploaded(upload)?;
                let lines = around.lines(&record, wanted)?;
                let form = facet_form(wanted, lines, asked.answers.clone());
                let read = files::facet_table(&bytes, &form)?;
                let name = asked.name.clone().unwrap_or_else(|| "unnamed".to_owned());
                let found = from_file(wanted, read, &bytes, name)?;
                attached.push(bytes);
                found
            }
            None => (
                SurveySource::Typed {},
                columns(wanted, wanted.columns.iter().map(|column| column.unit.clone())),
                asked.rows.iter().map(|row| typed_row(wanted, row)).collect::<Result<_>>()?,
            ),
        };
        let from_file = asked.file.is_some();
        let taken = SurveyTaken {
            attempt: attempt.number,
            role: self.role()?,
            origin: Origin::Direct {},
            worked_at: self.worked_at(asked.worked_at.as_ref())?,
            instrument: asked.instrument,
            replaces: attempt.counting_entry(&asked.step),
            reason: asked.reason,
            insisted: Vec::new(),
            source,
            columns,
            others: others(asked.others, asked.others_reason, from_file),
            rows,
            step: asked.step,
        };
        let taken = self.insisting(taken, asked.insist.as_deref(), |this, taken| {
            this.ask_rules(&Act::Survey(&subject, taken))
        })?;
        let entry = self.enter(&subject, &taken, &attached)?;
        Ok(entered(&entry, &subject))
    }

    pub(super) fn import_series(&mut self, asked: ImportSeries) -> Result<Response> {
        let (subject, record) = self.record(&asked.record)?;
        let checklist = self.checklist_of(&record)?;
        let step = step_of(&checklist, &asked.step)?;
        let Asks::Series(wanted) = &step.asks else {
            return Err(other_form(step, "files of a logger"));
        };
        let attempt = latest(&record)?;
        let (mut read_files, mut channels, mut attached) = (Vec::new(), Vec::new(), Vec::new());
        for (place, file) in (0_u32..).zip(&asked.files) {
            let bytes = uploaded(&file.file)?;
            let read = files::series(&bytes, &series_form(wanted, file)?)?;
            let (header, found) = from_logger(wanted, file, read, &bytes, place)?;
            read_files.push(header);
            channels.extend(found);
            attached.push(bytes);
        }
        for channel in &mut channels {
            channel.instrument = asked.instruments.get(&channel.id).cloned();
        }
        let imported = SeriesImported {
            attempt: attempt.number,
            role: self.role()?,
            worked_at: self.worked_at(asked.worked_at.as_ref())?,
            replaces: attempt.counting_entry(&asked.step),
            reason: asked.reason,
            insisted: Vec::new(),
            files: read_files,
            channels,
            step: asked.step,
        };
        let imported = self.insisting(imported, asked.insist.as_deref(), |this, imported| {
            this.ask_rules(&Act::Series(&subject, imported))
        })?;
        let entry = self.enter(&subject, &imported, &attached)?;
        Ok(entered(&entry, &subject))
    }

    /// The site and the dish design that an attempt is filled and judged by.
    pub(crate) fn surroundings(&self, record: &RecordDoc, attempt: u32) -> Result<Surroundings> {
        Ok(Surroundings::of(&self.store.documents(), record, attempt)?)
    }

    /// Asks the rules; a stated reason overrules each question that may be overruled.
    fn insisting<T: Insisted>(
        &self,
        mut event: T,
        reason: Option<&str>,
        ask: impl Fn(&Self, &T) -> Result<std::result::Result<(), MayNot>>,
    ) -> Result<T> {
        loop {
            let Err(refused) = ask(self, &event)? else { return Ok(event) };
            let overruled = refused.refusal().filter(|refusal| {
                refusal.may_insist && event.insisted().iter().all(|one| one.code != refusal.code)
            });
            match (overruled, reason) {
                (Some(refusal), Some(reason)) => {
                    let code = refusal.code.to_owned();
                    event.insisted().push(Insistence { code, reason: reason.to_owned() });
                }
                _ => return Err(refused.into()),
            }
        }
    }
}

/// An event whose questions can be overruled.
trait Insisted {
    fn insisted(&mut self) -> &mut Vec<Insistence>;
}

impl Insisted for SurveyTaken {
    fn insisted(&mut self) -> &mut Vec<Insistence> {
        &mut self.insisted
    }
}

impl Insisted for SeriesImported {
    fn insisted(&mut self) -> &mut Vec<Insistence> {
        &mut self.insisted
    }
}

fn step_of<'c>(checklist: &'c logbook::source::Checklist, id: &str) -> Result<&'c Step> {
    checklist.step(id).ok_or_else(|| {
        AppError::new(
            "record.unknown_step",
            format!("The checklist has no step \"{id}\"."),
            "Choose one of its steps.",
        )
    })
}

fn other_form(step: &Step, given: &str) -> AppError {
    AppError::new(
        "record.other_form",
        format!("Step {} asks for a {}, not for {given}.", step.number, step.asks.name()),
        "Answer it in that form.",
    )
}

/// How a facet table is read for a step.
pub(crate) fn facet_form(
    asked: &SurveyAsked,
    known: Vec<String>,
    answers: files::Answers,
) -> FacetForm {
    let column = |column: &logbook::source::ColumnAsked| Column {
        id: column.id.clone(),
        dimension: column.quantity,
        largest: None,
    };
    FacetForm { columns: asked.columns.iter().map(column).collect(), known, answers }
}

/// How a file of a logger or meter is read for a step.
pub(crate) fn series_form(asked: &SeriesAsked, file: &LoggerFile) -> Result<SeriesForm> {
    let wrong = |what: &str, value: &str, choices: &str| {
        AppError::new(
            "file.option",
            format!("\"{value}\" is no {what} of a file."),
            format!("Give {choices}."),
        )
    };
    let form = match file.form.as_deref() {
        None => None,
        Some("logger") => Some(Form::Logger),
        Some("meter") => Some(Form::Meter),
        Some(other) => return Err(wrong("form", other, "logger or meter")),
    };
    let label = match file.label.as_deref() {
        None => None,
        Some("start") => Some(Label::Start),
        Some("end") => Some(Label::End),
        Some(other) => return Err(wrong("label", other, "start or end")),
    };
    let channel = |channel: &logbook::source::ChannelAsked| Channel {
        id: channel.id.clone(),
        title: channel.title.clone(),
        dimension: channel.quantity,
    };
    Ok(SeriesForm {
        form,
        zone: file.zone.clone(),
        label,
        zones: Vec::new(),
        channels: asked.channels.iter().map(channel).collect(),
        answers: file.answers.clone(),
    })
}

fn columns(asked: &SurveyAsked, units: impl Iterator<Item = String>) -> Vec<SurveyColumn> {
    asked
        .columns
        .iter()
        .zip(units)
        .map(|(column, unit)| SurveyColumn {
            id: column.id.clone(),
            dimension: column.quantity,
            unit,
        })
        .collect()
}

type FromFile = (SurveySource, Vec<SurveyColumn>, Vec<SurveyRow>);

fn from_file(asked: &SurveyAsked, read: FacetFile, bytes: &[u8], name: String) -> Result<FromFile> {
    if let Some(question) = &read.question {
        return Err(question_open(&name, question));
    }
    let row = |row: &files::FacetRow| SurveyRow {
        row: row.facet.clone(),
        state: match (row.values.is_empty(), row.note.as_deref()) {
            (false, _) => RowState::Measured,
            (true, Some("masked")) => RowState::Masked,
            (true, _) => RowState::NotMeasured,
        },
        typed: row.values.iter().map(|value| value.plain.clone()).collect(),
        base: row.values.iter().map(|value| value.base.clone()).collect(),
        note: row.note.clone(),
    };
    let rows: Vec<SurveyRow> = read.rows.iter().map(row).collect();
    if rows.is_empty() {
        return Err(nothing_read(&name, &read.decisions));
    }
    let source = SurveySource::File {
        file: Digest::of(bytes),
        name,
        form: "facet table".to_owned(),
        decisions: read.decisions,
        lines: lines_read(&read.lines),
    };
    Ok((source, columns(asked, read.units.into_iter()), rows))
}

fn from_logger(
    asked: &SeriesAsked,
    file: &LoggerFile,
    read: files::SeriesFile,
    bytes: &[u8],
    place: u32,
) -> Result<(SeriesFile, Vec<SeriesChannel>)> {
    if let Some(question) = &read.question {
        return Err(question_open(&file.name, question));
    }
    let (Some(interval), Some(label)) = (read.interval, read.label) else {
        return Err(nothing_read(&file.name, &read.decisions));
    };
    let times: Vec<Moment> = read
        .times
        .iter()
        .map(|time| Moment::parse(time))
        .collect::<std::result::Result<_, _>>()
        .map_err(|cause| AppError::internal("Reading the times of a file", cause))?;
    let mut channels = Vec::new();
    let mut decisions = read.decisions;
    decisions.extend(read.warnings);
    for channel in &read.channels {
        let Some(wanted) = asked.channels.iter().find(|wanted| wanted.id == channel.id) else {
            continue;
        };
        channels.push(SeriesChannel {
            id: channel.id.clone(),
            unit: channel.unit.clone(),
            dimension: wanted.quantity,
            file: place,
            instrument: None,
            times: times.clone(),
            typed: channel.values.iter().map(|cell| cell.plain().to_owned()).collect(),
        });
        decisions.extend(channel.unusable.iter().map(|one| {
            format!("Line {}, {}: {}.", one.line, channel.column, one.reason.trim_end_matches('.'))
        }));
    }
    if channels.is_empty() {
        return Err(nothing_read(&file.name, &decisions));
    }
    let header = SeriesFile {
        file: Digest::of(bytes),
        name: file.name.clone(),
        form: match read.form {
            Some(Form::Meter) => "meter".to_owned(),
            _ => "logger".to_owned(),
        },
        instrument: file.instrument.clone(),
        zone: read.zone.unwrap_or_else(|| "as stamped".to_owned()),
        label: match label {
            Label::Start => IntervalLabel::Start,
            Label::End => IntervalLabel::End,
        },
        interval,
        decisions,
        lines: lines_read(&read.lines),
    };
    Ok((header, channels))
}

fn lines_read(lines: &files::Lines) -> LinesRead {
    let count = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    LinesRead {
        read: count(lines.read),
        used: count(lines.used),
        rejected: lines
            .rejected
            .iter()
            .map(|one| LineRejected { line: count(one.line), reason: one.reason.clone() })
            .collect(),
        blank: count(lines.blank),
        header: count(lines.header + lines.preamble),
    }
}

fn question_open(name: &str, question: &files::Question) -> AppError {
    let choices: Vec<&str> = question.choices.iter().map(|choice| choice.text.as_str()).collect();
    AppError::new(
        "file.question",
        format!("{name}: {}", question.sentence),
        format!("Answer \"{}\": {}.", question.id, choices.join(", or ")),
    )
}

fn nothing_read(name: &str, decisions: &[String]) -> AppError {
    AppError::new(
        "file.no_readings",
        format!("There are no readings in {name}. {}", decisions.join(" ")),
        "Look at the file and choose the right one; nothing was entered.",
    )
}

fn others(asked: OthersAsked, reason: Option<String>, from_file: bool) -> OtherRows {
    match asked {
        OthersAsked::Within => OtherRows::Within { reason },
        OthersAsked::NotMeasured => OtherRows::NotMeasured {
            reason: reason.or_else(|| from_file.then(|| "The file does not name it.".to_owned())),
        },
    }
}

fn typed_row(asked: &SurveyAsked, row: &MeasuredRow) -> Result<SurveyRow> {
    let mut base = Vec::new();
    for (text, column) in row.typed.iter().zip(&asked.columns) {
        let field = Field::of(column.quantity);
        let field = field.clone().with_default_unit(&column.unit).unwrap_or(field);
        let reading = quantity::parse(text, &field).map_err(|cause| {
            AppError::new(
                "record.row_value",
                format!("{}, {}: {cause}.", row.row, column.title),
                "Correct the value; nothing was entered.",
            )
        })?;
        base.push(reading.base_text());
    }
    Ok(SurveyRow {
        row: row.row.clone(),
        state: row.state,
        typed: row.typed.clone(),
        base,
        note: row.note.clone(),
    })
}

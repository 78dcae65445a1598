//! Measured tables and files of loggers and meters: a line among the readings, and below them
//! where every value comes from.

use ledger::EntryId;
use logbook::Surroundings;
use logbook::document::{AttemptDoc, InstrumentUse, RecordDoc, SeriesGiven, Stamp, SurveyGiven};
use logbook::events::{
    Insistence, IntervalLabel, LinesRead, Origin, RowState, SeriesFile, SurveySource,
};
use logbook::source::{Asks, Step};
use report::model;

use super::crew::calibration;
use super::source::Source;
use crate::words;

/// Lines not used that are listed of one file; the entry has all of them.
const MOST_LINES: usize = 40;

/// A table or an import with where it stands.
pub(super) struct At<'a> {
    pub(super) record: &'a RecordDoc,
    pub(super) attempt: &'a AttemptDoc,
    pub(super) step: &'a Step,
    pub(super) installation: &'a str,
}

/// How many rows of a table are in which state.
struct Rows<'s> {
    all: usize,
    named: Vec<(RowState, Vec<&'s str>)>,
    others: usize,
}

impl Rows<'_> {
    fn count(&self, state: RowState) -> usize {
        self.named.iter().find(|(one, _)| *one == state).map_or(0, |(_, rows)| rows.len())
    }

    fn names(&self, state: RowState) -> String {
        self.named
            .iter()
            .find(|(one, _)| *one == state)
            .map_or(String::new(), |(_, r)| r.join(", "))
    }

    /// "249 measured, 3 masked, of 252".
    fn words(&self, others: RowState) -> String {
        let mut parts = Vec::new();
        for state in [RowState::Measured, RowState::Within, RowState::NotMeasured, RowState::Masked]
        {
            let more = if state == others { self.others } else { 0 };
            let count = self.count(state) + more;
            if count > 0 {
                parts.push(format!("{count} {state}"));
            }
        }
        format!("{}, of {}", parts.join(", "), self.all)
    }
}

impl Source<'_> {
    /// A line for each table given to a step, the first one first.
    pub(super) fn survey_lines(&self, at: &At<'_>) -> Vec<model::Reading> {
        let given = at.attempt.surveys.get(&at.step.id).map(|doc| doc.given.as_slice());
        given.unwrap_or_default().iter().map(|given| self.survey_line(at, given)).collect()
    }

    /// A line for each import given to a step, the first one first.
    pub(super) fn series_lines(&self, at: &At<'_>) -> Vec<model::Reading> {
        let given = at.attempt.series.get(&at.step.id).map(|doc| doc.given.as_slice());
        given.unwrap_or_default().iter().map(|given| self.series_line(at, given)).collect()
    }

    /// Where the values of each table and import of a step come from.
    pub(super) fn taken(&self, at: &At<'_>) -> Vec<model::Taken> {
        let attempt = at.attempt;
        let surveys = attempt.surveys.get(&at.step.id).into_iter().flat_map(|doc| {
            let last = doc.given.len();
            doc.given.iter().enumerate().map(move |(place, given)| {
                let next = doc.given.get(place + 1).filter(|_| place + 1 < last);
                (&given.stamp, self.survey_facts(at, given), next.map(|next| &next.stamp))
            })
        });
        let series = attempt.series.get(&at.step.id).into_iter().flat_map(|doc| {
            doc.given.iter().enumerate().map(move |(place, given)| {
                let next = doc.given.get(place + 1);
                (&given.stamp, self.series_facts(at, given), next.map(|next| &next.stamp))
            })
        });
        let shown = surveys.chain(series).map(|(stamp, mut facts, next)| {
            if let Some(next) = next {
                let by = words::entry(at.installation, next);
                facts.push(fact("Counts no more", format!("replaced by {by}")));
            }
            model::Taken {
                step: at.step.number.clone(),
                title: at.step.title.clone(),
                entry: words::entry(at.installation, stamp),
                facts,
            }
        });
        shown.collect()
    }

    fn rows<'s>(&self, at: &At<'_>, given: &'s SurveyGiven) -> Rows<'s> {
        let around = Surroundings::of(self.shelf, at.record, at.attempt.number).ok();
        let lines = match (&at.step.asks, around) {
            (Asks::Survey(asked), Some(around)) => around.lines(at.record, asked).ok(),
            _ => None,
        };
        let all = lines.map_or(given.rows.len(), |lines| lines.len());
        let mut named: Vec<(RowState, Vec<&str>)> = Vec::new();
        for row in &given.rows {
            match named.iter_mut().find(|(state, _)| *state == row.state) {
                Some((_, rows)) => rows.push(&row.row),
                None => named.push((row.state, vec![&row.row])),
            }
        }
        Rows { all, named, others: all.saturating_sub(given.rows.len()) }
    }

    /// A table in a few words, such as "252 measured, of 252".
    pub(super) fn survey_words(&self, at: &At<'_>, given: &SurveyGiven) -> String {
        self.rows(at, given).words(given.others.state())
    }

    fn survey_line(&self, at: &At<'_>, given: &SurveyGiven) -> model::Reading {
        let (performer, role) = given.performer();
        let used = given.instrument.as_ref();
        let (how, from) = match (&given.origin, &given.source) {
            (Origin::Transcribed { form, .. }, _) => {
                (format!("transcribed from form {form}"), String::new())
            }
            (Origin::Direct {}, SurveySource::File { name, .. }) => {
                ("from a file".to_owned(), name.clone())
            }
            (Origin::Direct {}, SurveySource::Typed {}) => {
                ("direct".to_owned(), "typed row by row".to_owned())
            }
        };
        let mut remarks = self.remarks(at, &given.flags, given.replaces.as_ref());
        remarks.extend(insisted(&given.insisted));
        if given.awaits_confirmation() {
            remarks.push("the performer has not confirmed it".to_owned());
        }
        model::Reading {
            step: at.step.number.clone(),
            title: at.step.title.clone(),
            as_typed: self.survey_words(at, given),
            normalised: from,
            instrument: used.map(|used| used.instrument.clone()).unwrap_or_default(),
            calibration: used.map_or(model::CalibrationState::NotNeeded, calibration),
            calibration_text: used.map(|used| used.state.words()).unwrap_or_default(),
            who: self.who(performer, role),
            worked_at: words::when_short(&given.worked_at),
            how,
            entry: words::entry(at.installation, &given.stamp),
            remark: remarks.join("; "),
        }
    }

    fn series_line(&self, at: &At<'_>, given: &SeriesGiven) -> model::Reading {
        // The worst calibration of all channels is the one that is printed.
        let used = given.instruments.values();
        let worst = used.clone().find(|used| !used.state.counts()).or_else(|| used.clone().next());
        let mut ids: Vec<&str> =
            given.instruments.values().map(|u| u.instrument.as_str()).collect();
        ids.sort_unstable();
        ids.dedup();
        let mut remarks = self.remarks(at, &given.flags, given.replaces.as_ref());
        remarks.extend(insisted(&given.insisted));
        model::Reading {
            step: at.step.number.clone(),
            title: at.step.title.clone(),
            as_typed: series_words(given),
            normalised: given.files.iter().map(|f| f.name.as_str()).collect::<Vec<_>>().join(", "),
            instrument: ids.join(", "),
            calibration: worst.map_or(model::CalibrationState::NotNeeded, calibration),
            calibration_text: worst.map(|used| used.state.words()).unwrap_or_default(),
            who: self.who(&given.stamp.person, given.stamp.role),
            worked_at: words::when_short(&given.worked_at),
            how: "from files".to_owned(),
            entry: words::entry(at.installation, &given.stamp),
            remark: remarks.join("; "),
        }
    }

    /// What a reader must know; what the facts below say at length is left to them.
    fn remarks(
        &self,
        at: &At<'_>,
        flags: &[logbook::document::Flag],
        replaces: Option<&EntryId>,
    ) -> Vec<String> {
        let below = ["not_measured", "masked", "corrected"];
        let mut remarks: Vec<String> = flags
            .iter()
            .filter(|flag| !below.contains(&flag.code.as_str()))
            .map(|flag| flag.text.clone())
            .collect();
        remarks.extend(replaces.map(|entry| format!("replaces {}", entry_of(at, entry))));
        remarks
    }

    fn survey_facts(&self, at: &At<'_>, given: &SurveyGiven) -> Vec<model::Fact> {
        let rows = self.rows(at, given);
        let mut facts = vec![fact("Rows", self.survey_words(at, given))];
        if rows.others > 0 {
            let why = given.others.reason().map(|why| format!(": {why}")).unwrap_or_default();
            let others = rows.others;
            facts.push(fact(
                "By exception",
                format!("{others} rows not named: {}{why}", given.others.state()),
            ));
        }
        for (name, state) in [
            ("Not measured", RowState::NotMeasured),
            ("Masked", RowState::Masked),
            ("Within, no number", RowState::Within),
        ] {
            facts.push(fact(name, rows.names(state)));
        }
        let noted = given.rows.iter().filter_map(|row| {
            let note = row.note.as_ref().filter(|note| **note != row.state.to_string())?;
            Some(format!("{}: {note}", row.row))
        });
        facts.push(fact("Notes", noted.collect::<Vec<_>>().join("; ")));
        let columns =
            given.columns.iter().map(|column| format!("{} in {}", column.id, column.unit));
        facts.push(fact("Columns", columns.collect::<Vec<_>>().join(", ")));
        match &given.source {
            SurveySource::Typed {} => facts.push(fact("Source", "typed row by row".to_owned())),
            SurveySource::File { file, name, form, decisions, lines } => {
                facts.push(fact("File", format!("{name}, read as {form}")));
                facts.push(fact("SHA-256 of the file", file.to_string()));
                facts.extend(lines_facts(lines, decisions));
            }
        }
        facts.push(fact(
            "Instrument",
            given.instrument.as_ref().map(used_words).unwrap_or_default(),
        ));
        facts.extend(again(at, given.replaces.as_ref(), given.reason.as_deref()));
        facts.push(fact("Insisted", insisted(&given.insisted).join("\n")));
        facts.retain(|fact| !fact.value.is_empty());
        facts
    }

    fn series_facts(&self, at: &At<'_>, given: &SeriesGiven) -> Vec<model::Fact> {
        let mut facts = Vec::new();
        for (place, file) in given.files.iter().enumerate() {
            facts.push(fact(&format!("File {}", place + 1), file_words(file)));
            facts.push(fact("SHA-256 of the file", file.file.to_string()));
            facts.extend(lines_facts(&file.lines, &file.decisions));
        }
        for channel in &given.channels {
            let title = match &at.step.asks {
                Asks::Series(asked) => asked.channel(&channel.id).map(|asked| asked.title.clone()),
                _ => None,
            };
            let empty = channel.typed.iter().filter(|value| value.trim().is_empty()).count();
            let missing = match empty {
                0 => String::new(),
                some => format!(", {some} of them without a value"),
            };
            let span = match (channel.times.first(), channel.times.last()) {
                (Some(first), Some(last)) => {
                    format!(", {} to {}", words::when_short(first), words::when_short(last))
                }
                _ => String::new(),
            };
            let used = given.instruments.get(&channel.id).map(used_words).unwrap_or_default();
            facts.push(fact(
                &title.unwrap_or_else(|| channel.id.clone()),
                format!(
                    "{} times{missing}{span}; in {}; file {}\n{used}",
                    channel.times.len(),
                    channel.unit,
                    channel.file + 1
                ),
            ));
        }
        facts.extend(again(at, given.replaces.as_ref(), given.reason.as_deref()));
        facts.push(fact("Insisted", insisted(&given.insisted).join("\n")));
        facts.retain(|fact| !fact.value.is_empty());
        facts
    }
}

/// An import in a few words, such as "2 files, 4 channels".
pub(super) fn series_words(given: &SeriesGiven) -> String {
    format!(
        "{}, {}",
        words::count(given.files.len(), "file", "files"),
        words::count(given.channels.len(), "channel", "channels")
    )
}

/// Overruled questions, each with the reason.
pub(super) fn insisted(list: &[Insistence]) -> Vec<String> {
    list.iter().map(|one| format!("insisted: {}", one.reason)).collect()
}

fn fact(name: &str, value: String) -> model::Fact {
    model::Fact { name: name.to_owned(), value: value.trim_end().to_owned() }
}

/// The entry that a later one replaces, as printed.
fn entry_of(at: &At<'_>, entry: &EntryId) -> String {
    let id = &at.step.id;
    let surveys = at.attempt.surveys.get(id).into_iter().flat_map(|doc| &doc.given);
    let series = at.attempt.series.get(id).into_iter().flat_map(|doc| &doc.given);
    let answers = at.attempt.answers.get(id).into_iter().flat_map(|doc| &doc.given);
    let stamps: Vec<&Stamp> = surveys
        .map(|given| &given.stamp)
        .chain(series.map(|given| &given.stamp))
        .chain(answers.map(|given| &given.stamp))
        .collect();
    let stamp = stamps.into_iter().find(|stamp| stamp.entry == *entry);
    stamp.map_or_else(|| entry.short(), |stamp| words::entry(at.installation, stamp))
}

fn again(at: &At<'_>, replaces: Option<&EntryId>, reason: Option<&str>) -> Option<model::Fact> {
    let replaced = entry_of(at, replaces?);
    Some(fact("Replaces", format!("{replaced}: {}", reason.unwrap_or("no reason given"))))
}

fn file_words(file: &SeriesFile) -> String {
    let label = match file.label {
        IntervalLabel::Start => "start",
        IntervalLabel::End => "end",
    };
    format!(
        "{}, read as {}; written by {}; times at UTC{}, each the {label} of an interval of {}",
        file.name,
        file.form,
        file.instrument,
        file.zone.replace('-', "−"),
        file.interval
    )
}

/// What became of the lines of a file, and how they were read.
fn lines_facts(lines: &LinesRead, decisions: &[String]) -> Vec<model::Fact> {
    let rejected = lines.rejected.len();
    let counted = format!(
        "{} read: {} used, {} rejected, {} blank, {} of the head",
        lines.read, lines.used, rejected, lines.blank, lines.header
    );
    let mut named: Vec<String> = lines
        .rejected
        .iter()
        .take(MOST_LINES)
        .map(|one| format!("line {}: {}", one.line, one.reason))
        .collect();
    if rejected > MOST_LINES {
        named.push(format!("and {} more, all in the entry", rejected - MOST_LINES));
    }
    vec![
        fact("Lines", counted),
        fact("Lines rejected", named.join("\n")),
        fact("Read how", decisions.join("\n")),
    ]
}

/// An instrument with its calibration as it was.
fn used_words(used: &InstrumentUse) -> String {
    let certificate = used.calibration.as_ref().map(|c| format!(", certificate {}", c.certificate));
    format!(
        "{}, {}; {}{}",
        used.instrument,
        used.description,
        used.state.words(),
        certificate.unwrap_or_default()
    )
}

//! Measured tables and imported time series.

use std::collections::BTreeMap;

use ledger::{Digest, EntryId};

use super::attempt::{attempt_mut, open_attempt};
use super::work::{flag, out_of_calibration, overtake};
use super::{Fault, Fold, misplaced};
use crate::document::{
    AttemptDoc, Flag, RecordDoc, SeriesDoc, SeriesGiven, SurveyDoc, SurveyGiven,
};
use crate::events::{LinesRead, Origin, RowState, SeriesImported, SurveySource, SurveyTaken};
use crate::source::{Asks, Checklist};
use crate::surroundings::Surroundings;
use crate::typed;

/// Which entry is replaced, and why.
struct Again<'e> {
    replaces: Option<EntryId>,
    reason: Option<&'e str>,
}

impl Fold<'_> {
    pub(super) fn survey_taken(&mut self, event: SurveyTaken) -> Result<(), Fault> {
        let mut record = self.record()?;
        let checklist = self.checklist_of(&record)?;
        let Some(Asks::Survey(asked)) = checklist.step(&event.step).map(|step| &step.asks) else {
            return misplaced(format!("the checklist has no survey step `{}`", event.step));
        };
        let around = Surroundings::of(self.shelf, &record, event.attempt)?;
        let fits = around
            .lines(&record, asked)
            .and_then(|lines| typed::survey_fits(asked, &lines, &event));
        if let Err(refusal) = fits {
            return misplaced(refusal.sentence);
        }
        if let SurveySource::File { file, .. } = &event.source {
            self.attached(file)?;
        }
        let again = Again { replaces: event.replaces, reason: event.reason.as_deref() };
        place(&mut record, event.attempt, &event.step, &again)?;
        let mut given = SurveyGiven {
            stamp: self.stamp_as(event.role),
            instrument: self.instrument_used(
                event.instrument.as_deref(),
                &event.worked_at,
                &checklist.recording,
            )?,
            worked_at: event.worked_at,
            origin: event.origin,
            confirmed: None,
            source: event.source,
            columns: event.columns,
            others: event.others,
            rows: event.rows,
            replaces: event.replaces,
            reason: event.reason,
            insisted: event.insisted,
            attachments: self.attachments(),
            flags: Vec::new(),
        };
        given.flags = self.survey_flags(&given, &checklist)?;
        let attempt = attempt_mut(&mut record, event.attempt)?;
        let earlier = entries_of(attempt, &event.step);
        attempt
            .surveys
            .entry(event.step.clone())
            .or_insert_with(|| SurveyDoc { step: event.step, given: Vec::new() })
            .given
            .push(given);
        self.put_measured(record, event.attempt, &earlier)
    }

    pub(super) fn series_imported(&mut self, event: SeriesImported) -> Result<(), Fault> {
        let mut record = self.record()?;
        let checklist = self.checklist_of(&record)?;
        let Some(Asks::Series(asked)) = checklist.step(&event.step).map(|step| &step.asks) else {
            return misplaced(format!("the checklist has no series step `{}`", event.step));
        };
        if let Err(refusal) = typed::series_fits(asked, &event) {
            return misplaced(refusal.sentence);
        }
        for file in &event.files {
            self.attached(&file.file)?;
        }
        let again = Again { replaces: event.replaces, reason: event.reason.as_deref() };
        place(&mut record, event.attempt, &event.step, &again)?;
        let mut instruments = BTreeMap::new();
        for channel in &event.channels {
            let used = self.instrument_used(
                event.instrument_of(channel),
                &event.worked_at,
                &checklist.recording,
            )?;
            instruments.extend(used.map(|used| (channel.id.clone(), used)));
        }
        let mut given = SeriesGiven {
            stamp: self.stamp_as(event.role),
            worked_at: event.worked_at,
            files: event.files,
            channels: event.channels,
            instruments,
            replaces: event.replaces,
            reason: event.reason,
            insisted: event.insisted,
            attachments: self.attachments(),
            flags: Vec::new(),
        };
        given.flags = self.series_flags(&given, &checklist)?;
        let attempt = attempt_mut(&mut record, event.attempt)?;
        let earlier = entries_of(attempt, &event.step);
        attempt
            .series
            .entry(event.step.clone())
            .or_insert_with(|| SeriesDoc { step: event.step, given: Vec::new() })
            .given
            .push(given);
        self.put_measured(record, event.attempt, &earlier)
    }

    /// A file that an entry names as its source travels with it.
    fn attached(&self, file: &Digest) -> Result<(), Fault> {
        if self.attachments().contains(file) {
            return Ok(());
        }
        misplaced(format!("the file {} that it was read from is not attached to it", file.short()))
    }

    fn survey_flags(&self, given: &SurveyGiven, checklist: &Checklist) -> Result<Vec<Flag>, Fault> {
        let mut flags: Vec<Flag> = given.instrument.iter().filter_map(out_of_calibration).collect();
        flags.extend(self.flags_of_entry(&given.worked_at, &given.origin, checklist));
        flags.extend(self.flags_of_performer(given.performer(), &given.worked_at, checklist)?);
        for state in [RowState::NotMeasured, RowState::Masked] {
            let rows: Vec<&str> = given
                .rows
                .iter()
                .filter(|row| row.state == state)
                .map(|row| row.row.as_str())
                .collect();
            if !rows.is_empty() {
                flags.push(flag(state.name(), format!("{state}: {}", rows.join(", "))));
            }
        }
        if let SurveySource::File { name, lines, .. } = &given.source {
            flags.extend(lines_rejected(name, lines));
        }
        flags.extend(replaced(given.replaces));
        Ok(flags)
    }

    fn series_flags(&self, given: &SeriesGiven, checklist: &Checklist) -> Result<Vec<Flag>, Fault> {
        let mut flags: Vec<Flag> = Vec::new();
        for used in given.instruments.values() {
            let found = out_of_calibration(used).filter(|found| !flags.contains(found));
            flags.extend(found);
        }
        let direct = Origin::Direct {};
        flags.extend(self.flags_of_entry(&given.worked_at, &direct, checklist));
        let performer = direct.performer(&given.stamp);
        flags.extend(self.flags_of_performer(performer, &given.worked_at, checklist)?);
        for file in &given.files {
            flags.extend(lines_rejected(&file.name, &file.lines));
        }
        flags.extend(replaced(given.replaces));
        Ok(flags)
    }

    /// Writes the record; verdicts and reviews that rested on what was replaced count no more.
    fn put_measured(
        &mut self,
        mut record: RecordDoc,
        attempt: u32,
        earlier: &[EntryId],
    ) -> Result<(), Fault> {
        if !earlier.is_empty() {
            overtake(&mut record, attempt, earlier, self.stamp.entry);
        }
        self.put_settled(record)
    }
}

fn lines_rejected(name: &str, lines: &LinesRead) -> Option<Flag> {
    let rejected = lines.rejected.len();
    let text = || format!("{rejected} of {} lines of {name} were not used", lines.read);
    (rejected > 0).then(|| flag("lines_rejected", text()))
}

fn replaced(replaces: Option<EntryId>) -> Option<Flag> {
    replaces.map(|entry| flag("corrected", format!("replaces entry {entry}")))
}

/// Everything given to a step of an attempt so far.
fn entries_of(attempt: &AttemptDoc, step: &str) -> Vec<EntryId> {
    let answers = attempt.answers.get(step).into_iter().flat_map(|answer| &answer.given);
    let surveys = attempt.surveys.get(step).into_iter().flat_map(|survey| &survey.given);
    let series = attempt.series.get(step).into_iter().flat_map(|series| &series.given);
    answers
        .map(|given| given.stamp.entry)
        .chain(surveys.map(|given| given.stamp.entry))
        .chain(series.map(|given| given.stamp.entry))
        .collect()
}

/// The first table or import of a step comes while the attempt is open. A later one, like a
/// correction, may come at any time, names what it replaces and says why.
fn place(record: &mut RecordDoc, number: u32, step: &str, again: &Again<'_>) -> Result<(), Fault> {
    let counting = attempt_mut(record, number)?.counting_entry(step);
    match (counting, again.replaces) {
        (None, None) => open_attempt(record, number).map(drop),
        (None, Some(_)) => misplaced(format!("there is nothing at step `{step}` to replace")),
        (Some(_), None) => misplaced(format!(
            "step `{step}` was answered before it; taking it again names what it replaces"
        )),
        (Some(counting), Some(replaced)) if counting != replaced => {
            misplaced(format!("what it replaces at step `{step}` is not what counts there"))
        }
        (Some(_), Some(_)) if again.reason.is_none_or(|reason| reason.trim().is_empty()) => {
            misplaced(format!("step `{step}` is taken again without a reason"))
        }
        (Some(_), Some(_)) => Ok(()),
    }
}

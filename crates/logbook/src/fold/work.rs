//! Answers, holds, corrections and confirmations.

use ledger::EntryId;

use super::attempt::{attempt_mut, open_attempt};
use super::{Fault, Fold, misplaced};
use crate::Moment;
use crate::document::{
    AnswerDoc, AttemptDoc, CalibrationState, Elapsed, Flag, Given, HoldDoc, HoldMark,
    InstrumentDoc, InstrumentUse, PersonDoc, RecordDoc,
};
use crate::events::{
    Answer, AnswerGiven, ClockReading, CorrectionMade, HoldEnded, HoldStarted, Origin, Role,
    TranscriptionConfirmed,
};
use crate::shelf::{Key, ShelfError, read};
use crate::source::{Asks, Checklist, Recording};

pub(super) fn flag(code: &str, text: impl Into<String>) -> Flag {
    Flag { code: code.to_owned(), text: text.into() }
}

/// Whether an answer is of the kind that a step asks for. Missing and not-applicable fit any.
pub(crate) fn fits(asks: &Asks, answer: &Answer) -> bool {
    match (asks, answer) {
        (Asks::Confirm(_), Answer::Confirmed {})
        | (Asks::Photo(_), Answer::Photographed { .. }) => true,
        (Asks::Reading(asked), Answer::Read { reading }) => asked.quantity == reading.dimension,
        (Asks::Choice(asked), Answer::Chosen { option }) => {
            asked.options.iter().any(|one| one.id == *option)
        }
        (Asks::Table(asked), Answer::Tabulated { others, rows, .. }) => std::iter::once(others)
            .chain(rows.iter().map(|row| &row.choice))
            .all(|choice| asked.options.iter().any(|one| one.id == *choice)),
        (asks, Answer::Missing { .. } | Answer::NotApplicable { .. }) => {
            asks.takes_answer() || asks.takes_many()
        }
        _ => false,
    }
}

/// How long it was between two marks, by both means.
pub(crate) fn elapsed(
    (start, start_clock): (&Moment, Option<&ClockReading>),
    (end, end_clock): (&Moment, Option<&ClockReading>),
) -> Elapsed {
    // A clock that runs through suspend says the truth, but only within one start of the device.
    let by_clock = start_clock.zip(end_clock).and_then(|(start, end)| {
        (start.boot == end.boot).then_some(())?;
        Some(end.milliseconds.checked_sub(start.milliseconds)? / 1000)
    });
    Elapsed { by_clock, by_claims: end.seconds_since(start) }
}

/// The flag of an instrument that was not in date.
pub(super) fn out_of_calibration(used: &InstrumentUse) -> Option<Flag> {
    let text = || format!("{} is {}", used.instrument, used.state.words());
    (!used.state.counts()).then(|| flag("out_of_calibration", text()))
}

impl Fold<'_> {
    pub(super) fn instrument_used(
        &self,
        id: Option<&str>,
        worked_at: &Moment,
        recording: &Recording,
    ) -> Result<Option<InstrumentUse>, ShelfError> {
        let Some(id) = id else { return Ok(None) };
        let warn = i64::from(recording.calibration_warning_days);
        Ok(Some(match read::<InstrumentDoc>(self.shelf, &Key::instrument(id))? {
            Some(instrument) => instrument.used_on(worked_at.day(), warn),
            None => InstrumentUse {
                instrument: id.to_owned(),
                description: String::new(),
                maker_serial: String::new(),
                resolution: String::new(),
                state: CalibrationState::NotRegistered,
                calibration: None,
            },
        }))
    }

    /// What a reader must know about an answer.
    fn flags(&self, given: &Given, checklist: &Checklist) -> Result<Vec<Flag>, ShelfError> {
        let mut flags: Vec<Flag> = given.instrument.iter().filter_map(out_of_calibration).collect();
        flags.extend(self.flags_of_entry(&given.worked_at, &given.origin, checklist));
        if let Answer::Missing { reason } = &given.answer {
            flags.push(flag("missing", format!("not measured: {reason}")));
        }
        flags.extend(self.flags_of_performer(given.performer(), &given.worked_at, checklist)?);
        Ok(flags)
    }

    /// What a reader must know about when and how something was entered.
    pub(super) fn flags_of_entry(
        &self,
        worked_at: &Moment,
        origin: &Origin,
        checklist: &Checklist,
    ) -> Vec<Flag> {
        let mut flags = Vec::new();
        let delay = self.stamp.claimed.seconds_since(worked_at);
        if delay < 0 {
            flags
                .push(flag("entered_before_work", "claims a time of work after that of its entry"));
        }
        if delay > i64::from(checklist.recording.late_after_hours) * 3600 {
            flags.push(flag("late", format!("entered {} h after the work", delay / 3600)));
        }
        if let Origin::Transcribed { form, performer, .. } = origin {
            flags.push(flag("transcribed", format!("from form {form}, work by {performer}")));
        }
        flags
    }

    /// What a reader must know about whether the performer was qualified.
    pub(super) fn flags_of_performer(
        &self,
        (performer, role): (&str, Option<Role>),
        worked_at: &Moment,
        checklist: &Checklist,
    ) -> Result<Vec<Flag>, ShelfError> {
        let person: Option<PersonDoc> = read(self.shelf, &Key::person(performer))?;
        Ok(qualification(person.as_ref(), role, checklist, worked_at))
    }

    pub(super) fn answer_given(&mut self, event: AnswerGiven) -> Result<(), Fault> {
        let mut record = self.record()?;
        let checklist = self.checklist_of(&record)?;
        let Some(step) = checklist.step(&event.step) else {
            return misplaced(format!("the checklist has no step `{}`", event.step));
        };
        if !fits(&step.asks, &event.answer) {
            return misplaced(format!("step `{}` is not answered like that", event.step));
        }
        let instrument = self.instrument_used(
            event.instrument.as_deref(),
            &event.worked_at,
            &checklist.recording,
        )?;
        let mut given = Given {
            stamp: self.stamp_as(event.role),
            worked_at: event.worked_at,
            answer: event.answer,
            instrument,
            origin: event.origin,
            confirmed: None,
            corrects: None,
            correction_reason: None,
            insisted: event.insisted,
            attachments: self.attachments(),
            flags: Vec::new(),
        };
        given.flags = self.flags(&given, &checklist)?;
        let attempt = open_attempt(&mut record, event.attempt)?;
        if attempt.counting_entry(&event.step).is_some() {
            return misplaced(format!(
                "step `{}` was answered before it; a change is a correction with a reason",
                event.step
            ));
        }
        let direct = matches!(given.origin, Origin::Direct {});
        attempt
            .answers
            .insert(event.step.clone(), AnswerDoc { step: event.step, given: vec![given] });
        if direct {
            mark_clusters(attempt, &checklist.recording, &self.stamp.claimed);
        }
        Ok(self.put_record(&record)?)
    }

    pub(super) fn attachments(&self) -> Vec<ledger::Digest> {
        self.header.attachments().iter().map(|attachment| attachment.hash).collect()
    }

    pub(super) fn hold_started(&mut self, event: HoldStarted) -> Result<(), Fault> {
        let mut record = self.record()?;
        let checklist = self.checklist_of(&record)?;
        if !matches!(checklist.step(&event.step).map(|step| &step.asks), Some(Asks::Hold(_))) {
            return misplaced(format!("the checklist has no hold step `{}`", event.step));
        }
        let start = HoldMark {
            stamp: self.stamp_as(event.role),
            worked_at: event.worked_at,
            clock: event.clock,
            origin: event.origin,
            confirmed: None,
        };
        let attempt = open_attempt(&mut record, event.attempt)?;
        if attempt.holds.contains_key(&event.step) {
            return misplaced(format!("the hold of step `{}` was begun before it", event.step));
        }
        let hold = HoldDoc {
            step: event.step.clone(),
            start,
            end: None,
            elapsed: None,
            flags: Vec::new(),
        };
        attempt.holds.insert(event.step, hold);
        Ok(self.put_record(&record)?)
    }

    pub(super) fn hold_ended(&mut self, event: HoldEnded) -> Result<(), Fault> {
        let mut record = self.record()?;
        let checklist = self.checklist_of(&record)?;
        let end = HoldMark {
            stamp: self.stamp_as(event.role),
            worked_at: event.worked_at,
            clock: event.clock,
            origin: event.origin,
            confirmed: None,
        };
        let attempt = open_attempt(&mut record, event.attempt)?;
        let Some(hold) = attempt.holds.get_mut(&event.step) else {
            return misplaced(format!("the hold of step `{}` was not begun before it", event.step));
        };
        if hold.end.is_some() {
            return misplaced(format!("the hold of step `{}` was ended before it", event.step));
        }
        let elapsed = elapsed(
            (&hold.start.worked_at, hold.start.clock.as_ref()),
            (&end.worked_at, end.clock.as_ref()),
        );
        hold.flags = hold_flags(&elapsed, &checklist.recording);
        hold.elapsed = Some(elapsed);
        hold.end = Some(end);
        Ok(self.put_record(&record)?)
    }

    pub(super) fn correction_made(&mut self, event: CorrectionMade) -> Result<(), Fault> {
        let mut record = self.record()?;
        let checklist = self.checklist_of(&record)?;
        let Some((number, step, original)) = find(&record, event.corrects) else {
            return misplaced("the answer that it corrects is not in its record");
        };
        let measured = record.attempt(number).is_some_and(|attempt| {
            attempt.surveys.contains_key(&step) || attempt.series.contains_key(&step)
        });
        if measured {
            return misplaced(format!("step `{step}` was measured since the answer it corrects"));
        }
        let fits_step = checklist.step(&step).is_some_and(|asked| fits(&asked.asks, &event.answer));
        if !fits_step {
            return misplaced(format!("step `{step}` is not answered like that"));
        }
        let instrument = self.instrument_used(
            event.instrument.as_deref(),
            &event.worked_at,
            &checklist.recording,
        )?;
        let mut given = Given {
            stamp: self.stamp_as(event.role),
            worked_at: event.worked_at,
            answer: event.answer,
            instrument,
            origin: Origin::Direct {},
            confirmed: None,
            corrects: Some(event.corrects),
            correction_reason: Some(event.reason),
            insisted: event.insisted,
            attachments: self.attachments(),
            flags: Vec::new(),
        };
        given.flags = self.flags(&given, &checklist)?;
        given.flags.push(flag("corrected", format!("corrects entry {original}")));
        let earlier = given_entries(&record, number, &step);
        let attempt = attempt_mut(&mut record, number)?;
        if let Some(answer) = attempt.answers.get_mut(&step) {
            answer.given.push(given);
        }
        overtake(&mut record, number, &earlier, self.stamp.entry);
        self.put_settled(record)
    }

    pub(super) fn transcription_confirmed(
        &mut self,
        event: TranscriptionConfirmed,
    ) -> Result<(), Fault> {
        self.bound(event.role)?;
        let mut record = self.record()?;
        let stamp = self.stamp_as(event.role);
        for id in &event.entries {
            let named = performer_of(&record, *id);
            if named.as_deref() != Some(stamp.person.as_str()) {
                return misplaced("it confirms work that the paper does not name this person for");
            }
        }
        for attempt in &mut record.attempts {
            for given in attempt.answers.values_mut().flat_map(|answer| &mut answer.given) {
                if event.entries.contains(&given.stamp.entry) {
                    given.confirmed = Some(stamp.clone());
                }
            }
            for given in attempt.surveys.values_mut().flat_map(|survey| &mut survey.given) {
                if event.entries.contains(&given.stamp.entry) {
                    given.confirmed = Some(stamp.clone());
                }
            }
            for hold in attempt.holds.values_mut() {
                for mark in std::iter::once(&mut hold.start).chain(&mut hold.end) {
                    if event.entries.contains(&mark.stamp.entry) {
                        mark.confirmed = Some(stamp.clone());
                    }
                }
            }
        }
        // A verdict that was withheld for want of this confirmation is reached again.
        for attempt in &mut record.attempts {
            for verdict in &mut attempt.verdicts {
                if event.entries.iter().any(|id| verdict.inputs.contains(id)) {
                    verdict.overtaken_by.push(stamp.entry);
                }
            }
        }
        self.put_settled(record)
    }
}

/// The answer of an entry: its attempt, its step, and the entry that it is.
fn find(record: &RecordDoc, entry: EntryId) -> Option<(u32, String, EntryId)> {
    record.attempts.iter().find_map(|attempt| {
        attempt.answers.values().find_map(|answer| {
            let given = answer.given.iter().find(|given| given.stamp.entry == entry)?;
            Some((attempt.number, answer.step.clone(), given.stamp.entry))
        })
    })
}

fn given_entries(record: &RecordDoc, number: u32, step: &str) -> Vec<EntryId> {
    record
        .attempt(number)
        .and_then(|attempt| attempt.answers.get(step))
        .map(|answer| answer.given.iter().map(|given| given.stamp.entry).collect())
        .unwrap_or_default()
}

fn performer_of(record: &RecordDoc, entry: EntryId) -> Option<String> {
    let mut work = record.attempts.iter().flat_map(AttemptDoc::work);
    work.find_map(|(stamp, origin)| match origin {
        Origin::Transcribed { performer, .. } if stamp.entry == entry => Some(performer.clone()),
        _ => None,
    })
}

/// Verdicts that rest on a corrected answer no longer count, nor do reviews of the attempt.
pub(super) fn overtake(record: &mut RecordDoc, number: u32, earlier: &[EntryId], by: EntryId) {
    for attempt in &mut record.attempts {
        let mut touched = attempt.number == number;
        for verdict in &mut attempt.verdicts {
            if verdict.inputs.iter().any(|input| earlier.contains(input)) {
                verdict.overtaken_by.push(by);
                touched = true;
            }
        }
        if touched {
            for review in &mut attempt.reviews {
                review.overtaken_by.push(by);
            }
        }
    }
}

fn hold_flags(elapsed: &Elapsed, recording: &Recording) -> Vec<Flag> {
    let mut flags = Vec::new();
    if elapsed.by_claims < 0 {
        flags.push(flag("end_before_start", "the claimed end lies before the claimed start"));
    }
    let tolerated = i128::from(recording.clock_difference_seconds);
    match elapsed.by_clock {
        Some(clock) if (i128::from(clock) - i128::from(elapsed.by_claims)).abs() > tolerated => {
            let text = format!(
                "the running clock says {clock} s, the claimed times {} s: the clock was set in between",
                elapsed.by_claims
            );
            flags.push(flag("clock_set_during_hold", text));
        }
        None => flags.push(flag(
            "not_by_running_clock",
            "no clock ran through; the length comes from the two claimed times",
        )),
        Some(_) => {}
    }
    flags
}

fn qualification(
    person: Option<&PersonDoc>,
    role: Option<Role>,
    checklist: &Checklist,
    worked_at: &Moment,
) -> Vec<Flag> {
    let Some(person) = person else {
        return vec![flag("not_enrolled", "the performer is not on the site's list of people")];
    };
    let mut flags = Vec::new();
    let day = worked_at.day();
    match role {
        Some(role) if !person.holds(role, day) => {
            let text = format!("{} did not hold the role of {} then", person.name, role.title());
            flags.push(flag("role_not_held", text));
        }
        Some(role) if !checklist.performer.roles.contains(&role) => {
            let text = format!("a {} does not perform this checklist", role.title());
            flags.push(flag("role_not_meant", text));
        }
        _ => {}
    }
    for kind in &checklist.performer.papers {
        if person.paper(kind, day).is_none() {
            let text = format!("{} had no {kind} that was good on that day", person.name);
            flags.push(flag("paper_not_good", text));
        }
    }
    flags
}

/// Many answers in a short time are marked: they were hardly given step by step.
fn mark_clusters(attempt: &mut AttemptDoc, recording: &Recording, now: &Moment) {
    const CODE: &str = "clustered_entries";
    let window = i64::from(recording.clustered_seconds);
    let close = attempt
        .answers
        .values()
        .flat_map(|answer| &answer.given)
        .filter(|given| matches!(given.origin, Origin::Direct {}))
        .filter(|given| (0..=window).contains(&now.seconds_since(&given.stamp.claimed)))
        .count();
    let many = usize::try_from(recording.clustered_steps).unwrap_or(usize::MAX);
    if close >= many && !attempt.flags.iter().any(|flag| flag.code == CODE) {
        let text = format!("{close} answers were entered within {window} s");
        attempt.flags.push(flag(CODE, text));
    }
}

//! Answering steps, timed waits, corrections.

use ledger::Subject;

use super::{Answered, Asked, MayNot, needs_reason, refuse, unless_insisted};
use crate::Moment;
use crate::document::{AttemptDoc, CalibrationState, InstrumentDoc, PersonDoc, RecordDoc};
use crate::events::{
    Answer, AnswerGiven, CorrectionMade, HoldEnded, HoldStarted, Insistence, Origin, Role,
};
use crate::fold::fits;
use crate::refusal::Refusal;
use crate::shelf::{Key, read};
use crate::source::{Asks, Checklist, ReadingAsked, Step};
use crate::typed;

/// An answer with what it was taken with.
struct Taken<'a> {
    answer: &'a Answer,
    instrument: Option<&'a str>,
    worked_at: &'a Moment,
    insisted: &'a [Insistence],
}

impl Asked<'_> {
    pub(super) fn answer(
        &self,
        person: &PersonDoc,
        record: &Subject,
        event: &AnswerGiven,
    ) -> Answered {
        let record = self.record(record)?;
        let checklist = self.checklist(&record)?;
        let worker =
            self.worker(person, event.role, &event.origin, &checklist, &event.worked_at)?;
        let attempt = self.open_attempt(&record, event.attempt)?;
        self.when(attempt, &event.worked_at)?;
        let step = step_of(&checklist, &event.step)?;
        if attempt.counting_entry(&event.step).is_some() {
            let measured = !attempt.answers.contains_key(&event.step);
            return refuse(
                "already_answered",
                format!("Step {} of attempt {} is answered.", step.number, event.attempt),
                match measured {
                    true => "If it is wrong, take it again with a reason; the first stays visible.",
                    false => {
                        "If the answer is wrong, correct it with a reason; the first one stays \
                         visible."
                    }
                },
            );
        }
        self.content(&record, step, &event.answer)?;
        if let Err(refusal) = self.papers(&worker, &checklist, &event.worked_at) {
            unless_insisted(refusal, &event.insisted)?;
        }
        if matches!(event.origin, Origin::Direct {}) {
            self.late(&checklist, &event.worked_at, &event.insisted)?;
        }
        let taken = Taken {
            answer: &event.answer,
            instrument: event.instrument.as_deref(),
            worked_at: &event.worked_at,
            insisted: &event.insisted,
        };
        self.instrument(&checklist, step, &taken)
    }

    pub(super) fn correct(
        &self,
        person: &PersonDoc,
        record: &Subject,
        event: &CorrectionMade,
    ) -> Answered {
        let record = self.record(record)?;
        let checklist = self.checklist(&record)?;
        needs_reason(&event.reason, "A correction")?;
        let reviewer = checklist.reviewer.roles.contains(&event.role);
        if reviewer {
            self.holds(person, event.role, self.actor.at)?;
        } else {
            self.performs(person, event.role, &checklist, self.actor.at)?;
        }
        let corrected = record.attempts.iter().find_map(|attempt| {
            attempt.answers.values().find_map(|answer| {
                let known = answer.given.iter().any(|given| given.stamp.entry == event.corrects);
                known.then(|| (attempt, answer.step.clone()))
            })
        });
        let Some((attempt, step)) = corrected else {
            return refuse(
                "unknown_answer",
                "The answer to be corrected is not in this record.",
                "Choose the answer in the record that holds it.",
            );
        };
        let step = step_of(&checklist, &step)?;
        if attempt.surveys.contains_key(&step.id) || attempt.series.contains_key(&step.id) {
            return refuse(
                "measured_since",
                format!("Step {} was measured since the answer to be corrected.", step.number),
                "Take the measurement again, with the reason.",
            );
        }
        self.not_in_future(&event.worked_at)?;
        self.content(&record, step, &event.answer)?;
        let taken = Taken {
            answer: &event.answer,
            instrument: event.instrument.as_deref(),
            worked_at: &event.worked_at,
            insisted: &event.insisted,
        };
        self.instrument(&checklist, step, &taken)
    }

    pub(super) fn start_hold(
        &self,
        person: &PersonDoc,
        record: &Subject,
        event: &HoldStarted,
    ) -> Answered {
        let record = self.record(record)?;
        let checklist = self.checklist(&record)?;
        self.worker(person, event.role, &event.origin, &checklist, &event.worked_at)?;
        let attempt = self.open_attempt(&record, event.attempt)?;
        self.when(attempt, &event.worked_at)?;
        let step = hold_step(&checklist, &event.step)?;
        if attempt.holds.contains_key(&event.step) {
            return refuse(
                "hold_already_begun",
                format!("The hold of step {} has begun.", step.number),
                "End it when its time is over; a new hold needs a new attempt.",
            );
        }
        Ok(())
    }

    pub(super) fn end_hold(
        &self,
        person: &PersonDoc,
        record: &Subject,
        event: &HoldEnded,
    ) -> Answered {
        let record = self.record(record)?;
        let checklist = self.checklist(&record)?;
        self.worker(person, event.role, &event.origin, &checklist, &event.worked_at)?;
        let attempt = self.open_attempt(&record, event.attempt)?;
        self.not_in_future(&event.worked_at)?;
        let step = hold_step(&checklist, &event.step)?;
        let Some(hold) = attempt.holds.get(&event.step) else {
            return refuse(
                "hold_not_begun",
                format!("The hold of step {} was not begun.", step.number),
                "Begin it first; a wait that was not begun has no length.",
            );
        };
        if hold.end.is_some() {
            return refuse(
                "hold_already_ended",
                format!("The hold of step {} was ended.", step.number),
                "A longer hold needs a new attempt.",
            );
        }
        if event.worked_at.seconds_since(&hold.start.worked_at) < 0 {
            return refuse(
                "end_before_start",
                format!(
                    "The hold of step {} began {} and can't end {}, before its start.",
                    step.number, hold.start.worked_at, event.worked_at
                ),
                "Check the date of both times, and the offset if the clocks changed in the night.",
            );
        }
        Ok(())
    }

    /// Who did the work: the actor, or the performer on the paper, qualified at the time of work.
    pub(super) fn worker(
        &self,
        person: &PersonDoc,
        role: Role,
        origin: &Origin,
        checklist: &Checklist,
        at: &Moment,
    ) -> Result<PersonDoc, MayNot> {
        match origin {
            Origin::Direct {} => {
                self.performs(person, role, checklist, at)?;
                Ok(person.clone())
            }
            Origin::Transcribed { form, performer, performer_role, .. } => {
                if role == Role::Auditor {
                    self.may_write(person, role)?;
                }
                self.holds(person, role, self.actor.at)?;
                if form.trim().is_empty() {
                    return refuse(
                        "form_number_needed",
                        "What is typed in from paper needs the number of its form.",
                        "Read the number at the head of the form and enter it.",
                    );
                }
                let performer = self.person(performer)?;
                self.performs(&performer, *performer_role, checklist, at)?;
                Ok(performer)
            }
        }
    }

    pub(super) fn when(&self, attempt: &AttemptDoc, worked_at: &Moment) -> Answered {
        self.not_in_future(worked_at)?;
        if worked_at.seconds_since(&attempt.worked_at) < 0 {
            return refuse(
                "work_before_attempt",
                format!(
                    "The work is claimed for {worked_at}, before attempt {} began at {}.",
                    attempt.number, attempt.worked_at
                ),
                "Check date and zone; what was done before belongs to the attempt before.",
            );
        }
        Ok(())
    }

    pub(super) fn late(
        &self,
        checklist: &Checklist,
        worked_at: &Moment,
        insisted: &[Insistence],
    ) -> Answered {
        let hours = self.actor.at.seconds_since(worked_at) / 3600;
        if hours < i64::from(checklist.recording.late_after_hours) {
            return Ok(());
        }
        unless_insisted(
            Refusal::new(
                "late_entry",
                format!("The work is claimed for {worked_at}, {hours} h before this entry."),
                "If it is right, enter it with the reason and where the value comes from; it stays \
                 marked as late. If it stands on a paper form, enter it as transcribed.",
            ),
            insisted,
        )
    }

    /// The answer is of the step's kind and complete.
    fn content(&self, record: &RecordDoc, step: &Step, answer: &Answer) -> Answered {
        if !fits(&step.asks, answer) {
            return refuse(
                "answer_does_not_fit",
                format!("Step {} asks for a {}.", step.number, step.asks.name()),
                "Answer it in that form, or enter it as missing with the reason.",
            );
        }
        match (&step.asks, answer) {
            (_, Answer::NotApplicable { reason }) => needs_reason(reason, "Not applicable"),
            (Asks::Choice(choice), Answer::Missing { .. }) if !step.optional => {
                let options: Vec<&str> =
                    choice.options.iter().map(|option| option.text.as_str()).collect();
                refuse(
                    "choice_needed",
                    format!("Step {} ({}) must be named.", step.number, step.title),
                    format!("Choose one of: {}.", options.join("; ")),
                )
            }
            (_, Answer::Missing { reason }) => needs_reason(reason, "A missing answer"),
            (Asks::Table(table), Answer::Tabulated { count, rows, .. }) => {
                let Some(lines) = record.lists.get(&table.list) else { return Ok(()) };
                if usize::try_from(*count) != Ok(lines.len()) {
                    return refuse(
                        "table_incomplete",
                        format!(
                            "Step {} covers {count} lines; {} has {} {}.",
                            step.number,
                            record.position,
                            lines.len(),
                            table.list
                        ),
                        "Go through every line of the list, then enter the table.",
                    );
                }
                match rows.iter().find(|row| !lines.contains(&row.row)) {
                    None => Ok(()),
                    Some(row) => refuse(
                        "unknown_line",
                        format!(
                            "{} has no “{}” among its {}.",
                            record.position, row.row, table.list
                        ),
                        "Choose a line of the list.",
                    ),
                }
            }
            _ => Ok(()),
        }
    }

    /// The instrument is named, is of the right kind and in date; the value is plausible.
    fn instrument(&self, checklist: &Checklist, step: &Step, taken: &Taken<'_>) -> Answered {
        let Taken { answer, instrument, worked_at, insisted } = *taken;
        let wanted = match (&step.asks, answer) {
            (Asks::Reading(asked), Answer::Read { reading }) => {
                plausible(step, asked, reading, insisted)?;
                asked.instrument.as_deref()
            }
            (Asks::Table(asked), Answer::Tabulated { .. }) => asked.instrument.as_deref(),
            _ => None,
        };
        match wanted {
            None => Ok(()),
            Some(role) => {
                self.instrument_for(checklist, step, role, instrument, (worked_at, insisted))
            }
        }
    }

    /// An instrument of the kind that plays this part, in date at the time of work.
    pub(super) fn instrument_for(
        &self,
        checklist: &Checklist,
        step: &Step,
        role: &str,
        instrument: Option<&str>,
        (worked_at, insisted): (&Moment, &[Insistence]),
    ) -> Answered {
        let kind = checklist.instruments.iter().find(|one| one.role == role).map(|one| &one.kind);
        let Some(id) = instrument else {
            return refuse(
                "instrument_needed",
                format!("Step {} needs the instrument that was used ({role}).", step.number),
                "Choose it from the site's list of instruments.",
            );
        };
        let Some(document) = read::<InstrumentDoc>(self.shelf, &Key::instrument(id))? else {
            return refuse(
                "unknown_instrument",
                format!("“{id}” is not on the site's list of instruments."),
                "Check the label, or register the instrument first.",
            );
        };
        if kind.is_some_and(|kind| *kind != document.kind) {
            return refuse(
                "wrong_instrument",
                format!("{id} is a {}; step {} needs a {role}.", document.kind, step.number),
                "Choose the instrument that was used for this reading.",
            );
        }
        let warn = i64::from(checklist.recording.calibration_warning_days);
        let state = document.state_on(worked_at.day(), warn);
        if state.counts() {
            return Ok(());
        }
        let words = match &state {
            CalibrationState::Overdue { .. } => format!("{id} is {}", state.words()),
            _ => format!("{id}: {}", state.words()),
        };
        unless_insisted(
            Refusal::new(
                "out_of_calibration",
                format!("{words}."),
                "Use an instrument in date. If the reading is taken, enter it with the reason; it is \
                 kept, stays marked and can't alone accept a safety limit.",
            ),
            insisted,
        )
    }
}

fn plausible(
    step: &Step,
    asked: &ReadingAsked,
    reading: &quantity::StoredReading,
    insisted: &[Insistence],
) -> Answered {
    let typed = typed::reading(asked, &reading.text)?;
    if typed.reading != *reading {
        return refuse(
            "reading_differs",
            format!(
                "The reading of step {} does not say the same as what was typed, “{}”.",
                step.number, reading.text
            ),
            "Type it again.",
        );
    }
    match typed.question {
        Some(question) => unless_insisted(question, insisted),
        None => Ok(()),
    }
}

pub(super) fn step_of<'c>(checklist: &'c Checklist, id: &str) -> Result<&'c Step, MayNot> {
    match checklist.step(id) {
        Some(step) => Ok(step),
        None => refuse(
            "unknown_step",
            format!("The checklist has no step “{id}”."),
            "Choose one of its steps.",
        ),
    }
}

fn hold_step<'c>(checklist: &'c Checklist, id: &str) -> Result<&'c Step, MayNot> {
    let step = step_of(checklist, id)?;
    if matches!(step.asks, Asks::Hold(_)) {
        return Ok(step);
    }
    refuse(
        "not_a_hold",
        format!("Step {} asks for a {}, not for a wait.", step.number, step.asks.name()),
        "Choose a step that is a timed wait.",
    )
}

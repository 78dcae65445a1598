//! Who may do what, and when: asked before an entry is sealed.
//!
//! A rule answers with a [`Refusal`]: a code, a sentence, the next step. Some refusals are
//! questions, which a stated reason overcomes; the reason is then part of the entry.

mod answering;
mod closing;
mod measuring;
mod office;
mod opening;

pub use office::{may_administer, may_write, site_description};

use ledger::Subject;

use crate::Moment;
use crate::document::{AdoptedDoc, AttemptDoc, PersonDoc, RecordDoc};
use crate::events::{
    AnswerGiven, AttemptFinished, AttemptInterrupted, AttemptStarted, AttemptWithdrawn,
    CorrectionMade, FindingClosed, HoldEnded, HoldStarted, Insistence, RecordOpened,
    RecordReviewed, ReportSigned, Role, SeriesImported, StepWitnessed, SurveyTaken,
    TranscriptionConfirmed, WeatherNoted,
};
use crate::refusal::Refusal;
use crate::shelf::{Key, Shelf, ShelfError, read};
use crate::source::Checklist;

/// Who wants to act, and what their tablet claims as the time.
#[derive(Debug, Clone, Copy)]
pub struct Actor<'a> {
    /// The person, by opaque id.
    pub person: &'a str,
    /// Claimed time of the act.
    pub at: &'a Moment,
}

/// What someone wants to do. The subject is the record, finding or report that it is about.
#[derive(Debug, Clone, Copy)]
#[expect(missing_docs, reason = "each variant is its payload, documented there")]
pub enum Act<'a> {
    OpenRecord(&'a RecordOpened, Role),
    StartAttempt(&'a Subject, &'a AttemptStarted),
    Interrupt(&'a Subject, &'a AttemptInterrupted),
    NoteWeather(&'a Subject, &'a WeatherNoted),
    Answer(&'a Subject, &'a AnswerGiven),
    Survey(&'a Subject, &'a SurveyTaken),
    Series(&'a Subject, &'a SeriesImported),
    StartHold(&'a Subject, &'a HoldStarted),
    EndHold(&'a Subject, &'a HoldEnded),
    Correct(&'a Subject, &'a CorrectionMade),
    ConfirmTranscription(&'a Subject, &'a TranscriptionConfirmed),
    Witness(&'a Subject, &'a StepWitnessed),
    Finish(&'a Subject, &'a AttemptFinished),
    Withdraw(&'a Subject, &'a AttemptWithdrawn),
    Review(&'a Subject, &'a RecordReviewed),
    CloseFinding(&'a Subject, &'a FindingClosed),
    SignReport(&'a Subject, &'a ReportSigned),
}

/// Why an act does not go through.
#[derive(Debug, thiserror::Error)]
pub enum MayNot {
    /// A rule says no.
    #[error(transparent)]
    Refused(#[from] Refusal),
    /// The documents could not be read.
    #[error(transparent)]
    Shelf(#[from] ShelfError),
}

impl MayNot {
    /// The refusal, where a rule said no.
    pub fn refusal(&self) -> Option<&Refusal> {
        match self {
            Self::Refused(refusal) => Some(refusal),
            Self::Shelf(_) => None,
        }
    }
}

/// Lets an act pass, or says why not.
///
/// # Errors
/// The first rule that it breaks; [`Refusal::may_insist`] says whether a reason overcomes it.
pub fn may(shelf: &dyn Shelf, actor: &Actor<'_>, act: &Act<'_>) -> Result<(), MayNot> {
    let asked = Asked { shelf, actor };
    let person = asked.person(actor.person)?;
    match *act {
        Act::OpenRecord(event, role) => asked.open_record(&person, event, role),
        Act::StartAttempt(record, event) => asked.start(&person, record, event),
        Act::Interrupt(record, event) => asked.interrupt(&person, record, event),
        Act::NoteWeather(record, event) => asked.weather(&person, record, event),
        Act::Answer(record, event) => asked.answer(&person, record, event),
        Act::Survey(record, event) => asked.survey(&person, record, event),
        Act::Series(record, event) => asked.series(&person, record, event),
        Act::StartHold(record, event) => asked.start_hold(&person, record, event),
        Act::EndHold(record, event) => asked.end_hold(&person, record, event),
        Act::Correct(record, event) => asked.correct(&person, record, event),
        Act::ConfirmTranscription(record, event) => asked.confirm(&person, record, event),
        Act::Witness(record, event) => asked.witness(&person, record, event),
        Act::Finish(record, event) => asked.finish(&person, record, event),
        Act::Withdraw(record, event) => asked.withdraw(&person, record, event),
        Act::Review(record, event) => asked.review(&person, record, event),
        Act::CloseFinding(finding, event) => asked.close_finding(&person, finding, event),
        Act::SignReport(report, event) => asked.sign_report(&person, report, event),
    }
}

/// One question to the rules.
struct Asked<'a> {
    shelf: &'a dyn Shelf,
    actor: &'a Actor<'a>,
}

type Answered = Result<(), MayNot>;

fn refuse<T>(
    code: &'static str,
    sentence: impl Into<String>,
    next_step: impl Into<String>,
) -> Result<T, MayNot> {
    Err(Refusal::new(code, sentence, next_step).into())
}

/// Lets a question pass that was overruled with a reason.
fn unless_insisted(refusal: Refusal, insisted: &[Insistence]) -> Answered {
    let overruled = insisted
        .iter()
        .any(|one| one.code == refusal.code && one.reason.trim().chars().count() > 1);
    if overruled { Ok(()) } else { Err(refusal.insistable().into()) }
}

/// A reason that says something; a dot is none.
fn needs_reason(reason: &str, for_what: &str) -> Answered {
    if reason.trim().chars().count() > 1 {
        return Ok(());
    }
    refuse(
        "reason_needed",
        format!("{for_what} needs a reason in words."),
        "Say in a few words why, so that a stranger understands it in ten years.",
    )
}

impl<'a> Asked<'a> {
    fn person(&self, id: &str) -> Result<PersonDoc, MayNot> {
        match read(self.shelf, &Key::person(id))? {
            Some(person) => Ok(person),
            None => refuse(
                "unknown_person",
                format!("“{id}” is not on the site's list of people."),
                "Enrol the person first, or check the id.",
            ),
        }
    }

    fn record(&self, record: &Subject) -> Result<RecordDoc, MayNot> {
        match read(self.shelf, &Key::record(record))? {
            Some(record) => Ok(record),
            None => refuse(
                "unknown_record",
                "This logbook holds no such record.",
                "Open a record for the dish, or bring in the bundle that holds it.",
            ),
        }
    }

    fn checklist(&self, record: &RecordDoc) -> Result<Checklist, MayNot> {
        let key = Key::checklist(&record.checklist.id, &record.checklist.revision);
        match read::<AdoptedDoc<Checklist>>(self.shelf, &key)? {
            Some(adopted) => Ok(adopted.read),
            None => refuse(
                "unknown_checklist",
                "The record's checklist is not in this logbook.",
                "Adopt the checklist, or bring in the bundle that holds its adoption.",
            ),
        }
    }

    /// The person holds the role on the day.
    fn holds(&self, person: &PersonDoc, role: Role, at: &Moment) -> Answered {
        if person.holds(role, at.day()) {
            return Ok(());
        }
        let roles: Vec<&str> = person.roles.iter().map(|held| held.role.title()).collect();
        refuse(
            "role_not_held",
            format!("{} does not hold the role of {} on {}.", person.name, role.title(), at.day()),
            format!("Act in a role held ({}), or let someone else act.", roles.join(", ")),
        )
    }

    /// The role may write into records at all.
    fn may_write(&self, person: &PersonDoc, role: Role) -> Answered {
        match role {
            Role::Auditor => refuse(
                "auditor_reads_only",
                format!(
                    "{} acts as auditor, who reads and exports and writes nothing.",
                    person.name
                ),
                "Let a person of the crew do it.",
            ),
            Role::Trainee => refuse(
                "trainee_assists_only",
                format!(
                    "{} acts as trainee, who may assist and sign only their own lock.",
                    person.name
                ),
                "Let a qualified person act, and name the trainee as assisting.",
            ),
            _ => Ok(()),
        }
    }

    /// The role may perform the checklist's work, and is held on that day.
    fn performs(
        &self,
        person: &PersonDoc,
        role: Role,
        checklist: &Checklist,
        at: &Moment,
    ) -> Answered {
        self.may_write(person, role)?;
        self.holds(person, role, at)?;
        if checklist.performer.roles.contains(&role) {
            return Ok(());
        }
        let meant: Vec<&str> = checklist.performer.roles.iter().map(|role| role.title()).collect();
        refuse(
            "role_not_meant",
            format!("“{}” is not performed by a {}.", checklist.title, role.title()),
            format!("Let one of these do it: {}.", meant.join(", ")),
        )
    }

    /// The papers that the checklist wants are good on the day of work.
    fn papers(
        &self,
        person: &PersonDoc,
        checklist: &Checklist,
        at: &Moment,
    ) -> Result<(), Refusal> {
        for kind in &checklist.performer.papers {
            if person.paper(kind, at.day()).is_some() {
                continue;
            }
            let sentence = match person.latest_paper(kind).and_then(|paper| paper.expires) {
                Some(expires) if expires < at.day() => format!(
                    "{}'s {kind} expired on {}, before the work of {}.",
                    person.name,
                    expires.format("%-d %b %Y"),
                    at.day().format("%-d %b %Y")
                ),
                _ => format!("{} has no {kind} that is good on {}.", person.name, at.day()),
            };
            return Err(Refusal::new(
                "paper_not_good",
                sentence,
                "Let someone with the paper do it, or enter the renewed paper. If the work is done, \
                 enter it with the reason; it stays marked.",
            ));
        }
        Ok(())
    }

    fn open_attempt<'r>(
        &self,
        record: &'r RecordDoc,
        number: u32,
    ) -> Result<&'r AttemptDoc, MayNot> {
        let Some(attempt) = record.attempt(number) else {
            return refuse(
                "unknown_attempt",
                format!("This record has no attempt {number}."),
                "Start it first.",
            );
        };
        if attempt.state.is_open() {
            return Ok(attempt);
        }
        refuse(
            "attempt_not_open",
            format!("Attempt {number} is {}.", attempt.state.words()),
            "Correct a finished attempt by a correction with a reason, or start the next attempt.",
        )
    }

    /// The claimed time of work is not after the claimed time of entry.
    fn not_in_future(&self, worked_at: &Moment) -> Answered {
        if self.actor.at.seconds_since(worked_at) >= 0 {
            return Ok(());
        }
        refuse(
            "work_in_future",
            format!(
                "The work is claimed for {worked_at}; this tablet says that it is {}.",
                self.actor.at
            ),
            "Check date, zone and clock, then enter the time at which the work was done.",
        )
    }
}

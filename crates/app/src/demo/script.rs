//! What the story's files hold, and the player that turns acts into requests.

use std::collections::BTreeMap;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use logbook::Moment;
use logbook::events::{
    InstrumentCalibrated, InstrumentRegistered, Paper, PersonEnrolled, Role, RoleHeld,
    SiteDescribed,
};
use serde::Deserialize;

use crate::clock::StoryClock;
use crate::error::{AppError, Result};
use crate::logbook::Logbook;
use crate::progress::{Progress, Sink};
use crate::request::{Adoptable, Request, Response};

use super::{Refused, Story, Verdict};

/// What the site adopts, in this order: a checklist is read beside the criteria that it names.
const ADOPTED: [(Adoptable, &str); 9] = [
    (Adoptable::Criteria, "checklists/criteria.toml"),
    (Adoptable::RetestRules, "checklists/retest-rules.toml"),
    (Adoptable::DishDesign, "demo-site/lv-3-dish.toml"),
    (Adoptable::Checklist, "checklists/p02-focal-zone-lockout.toml"),
    (Adoptable::Checklist, "checklists/p06-gas-leak-test.toml"),
    (Adoptable::Checklist, "checklists/p07-purge-and-fill.toml"),
    (Adoptable::Checklist, "checklists/p09-facet-alignment.toml"),
    (Adoptable::Checklist, "checklists/p10-receiver-inspection.toml"),
    (Adoptable::Checklist, "checklists/p13-performance-run.toml"),
];

/// `site.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Site {
    pub(super) passphrase: String,
    pub(super) site: SiteFacts,
    pub(super) founder: Founder,
    described: SiteDescribed,
    people: Vec<Person>,
    instruments: Vec<InstrumentRegistered>,
    calibrations: Vec<InstrumentCalibrated>,
    positions: Vec<Position>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SiteFacts {
    pub(super) name: String,
    pub(super) installation: String,
    pub(super) founded_at: Moment,
    /// Where the story stops, and whoever opens the folder goes on.
    pub(super) left_at: Moment,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Founder {
    person: String,
    pub(super) pin: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Person {
    person: String,
    name: String,
    employer: String,
    pin: Option<String>,
    roles: Vec<RoleHeld>,
    #[serde(default)]
    papers: Vec<Paper>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Position {
    position: String,
    cluster: String,
    dish_type: String,
    #[serde(default)]
    serials: Vec<Serial>,
    #[serde(default)]
    lists: BTreeMap<String, Vec<String>>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Serial {
    slot: String,
    serial: String,
}

impl Person {
    fn enrolled(&self) -> PersonEnrolled {
        PersonEnrolled {
            person: self.person.clone(),
            name: self.name.clone(),
            employer: self.employer.clone(),
            roles: self.roles.clone(),
            papers: self.papers.clone(),
        }
    }
}

impl Site {
    fn person(&self, id: &str) -> Result<&Person> {
        self.people.iter().find(|person| person.person == id).ok_or_else(|| {
            AppError::new(
                "demo.person",
                format!("The story names \"{id}\", who is not in site.toml."),
                "Add the person there, or correct the id.",
            )
        })
    }

    pub(super) fn founder(&self) -> Result<PersonEnrolled> {
        Ok(self.person(&self.founder.person)?.enrolled())
    }

    fn pin(&self, id: &str) -> Result<&str> {
        if id == self.founder.person {
            return Ok(&self.founder.pin);
        }
        self.person(id)?.pin.as_deref().ok_or_else(|| {
            AppError::new(
                "demo.pin",
                format!("{id} acts in the story and has no PIN in site.toml."),
                "Add one there.",
            )
        })
    }

    /// Makes a person act, unless they do already.
    pub(super) fn act_as(&self, logbook: &mut Logbook, person: &str, role: Role) -> Result<()> {
        let same = logbook
            .acting
            .as_ref()
            .is_some_and(|acting| acting.person.person == person && acting.role == role);
        if same {
            return Ok(());
        }
        let pin = self.pin(person)?.to_owned();
        logbook.handle(Request::ActAs { person: person.to_owned(), role, pin }).map(|_| ())
    }

    /// Enters people, instruments, positions and adopted files, as the founder.
    pub(super) fn set_up(
        &self,
        logbook: &mut Logbook,
        story: &Story,
        progress: &mut Sink<'_>,
    ) -> Result<()> {
        let founder = self.person(&self.founder.person)?;
        let role = founder.roles.first().map_or(Role::CommissioningLead, |held| held.role);
        self.act_as(logbook, &founder.person, role)?;
        progress(Progress::step("Enrolling people and registering instruments"));
        for person in self.people.iter().filter(|person| person.person != founder.person) {
            logbook.handle(Request::EnrolPerson(person.enrolled()))?;
            if let Some(pin) = person.pin.clone() {
                logbook.handle(Request::GivePin { person: person.person.clone(), pin })?;
            }
        }
        for instrument in &self.instruments {
            logbook.handle(Request::RegisterInstrument(instrument.clone()))?;
        }
        for calibration in &self.calibrations {
            logbook.handle(Request::RecordCalibration(calibration.clone()))?;
        }
        for position in &self.positions {
            position.register(logbook)?;
        }
        logbook.handle(Request::DescribeSite(self.described.clone()))?;
        progress(Progress::step("Adopting criteria, re-test rules, the dish and checklists"));
        for (what, file) in ADOPTED {
            logbook.handle(Request::Adopt { what, content: story.text(file)? })?;
        }
        Ok(())
    }
}

impl Position {
    fn register(&self, logbook: &mut Logbook) -> Result<()> {
        logbook.handle(Request::RegisterPosition {
            position: self.position.clone(),
            cluster: self.cluster.clone(),
            dish_type: self.dish_type.clone(),
            lists: self.lists.clone(),
        })?;
        for fitted in &self.serials {
            logbook.handle(Request::FitSerial {
                position: self.position.clone(),
                slot: fitted.slot.clone(),
                serial: fitted.serial.clone(),
                reason: None,
                worked_at: None,
            })?;
        }
        Ok(())
    }
}

/// One thread of the story, such as `pc-04-leak.toml`.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Script {
    act: Vec<Act>,
    #[serde(default)]
    report: Option<Report>,
}

/// Something that happens in the story.
#[derive(Debug)]
pub(super) enum Happening {
    /// Someone does something.
    Act(Box<Act>),
    /// A dish is handed over.
    HandOver(Report),
}

impl Happening {
    fn at(&self) -> &Moment {
        match self {
            Self::Act(act) => &act.at,
            Self::HandOver(report) => &report.issued_at,
        }
    }
}

/// All threads as one line of time; what happens at the same time keeps the order of the files.
pub(super) fn by_time(scripts: Vec<(&'static str, Script)>) -> Vec<(&'static str, Happening)> {
    let mut all: Vec<_> = scripts
        .into_iter()
        .flat_map(|(thread, script)| {
            let acts = script.act.into_iter().map(|act| Happening::Act(Box::new(act)));
            acts.chain(script.report.map(Happening::HandOver)).map(move |one| (thread, one))
        })
        .collect();
    all.sort_by_key(|(_, happening)| happening.at().at());
    all
}

/// One act: who, when, and the request as a front end would send it.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Act {
    at: Moment,
    #[serde(default)]
    by: String,
    #[serde(default)]
    role: Option<Role>,
    #[serde(default)]
    called: Option<String>,
    #[serde(default)]
    restart: bool,
    #[serde(default)]
    request: Option<toml::Value>,
}

/// How the report is issued and signed.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Report {
    pub(super) position: String,
    pub(super) issued_at: Moment,
    pub(super) issued_by: String,
    pub(super) issued_role: Role,
    pub(super) signatures: Vec<Signature>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Signature {
    pub(super) at: Moment,
    pub(super) by: String,
    pub(super) role: Role,
    pub(super) field: String,
}

/// Plays acts one after the other.
pub(super) struct Player<'a> {
    story: &'a Story,
    site: &'a Site,
    /// Subjects by thread and name.
    called: BTreeMap<(&'static str, String), String>,
    verdicts: Vec<Verdict>,
    refused: Vec<Refused>,
}

impl<'a> Player<'a> {
    pub(super) fn new(story: &'a Story, site: &'a Site) -> Self {
        Self { story, site, called: BTreeMap::new(), verdicts: Vec::new(), refused: Vec::new() }
    }

    pub(super) fn into_outcome(self) -> (Vec<Verdict>, Vec<Refused>) {
        (self.verdicts, self.refused)
    }

    pub(super) fn play(
        &mut self,
        thread: &'static str,
        act: &Act,
        logbook: &mut Logbook,
        clock: &StoryClock,
    ) -> Result<()> {
        clock.move_to(act.at.at());
        if act.restart {
            clock.restart();
            logbook.handle(Request::ChangePerson {})?;
        }
        let (Some(request), Some(role)) = (&act.request, act.role) else { return Ok(()) };
        self.site.act_as(logbook, &act.by, role)?;
        let unreadable = |cause: &dyn std::fmt::Display| {
            AppError::new(
                "demo.request",
                format!("The act of {} is no request: {cause}.", act.at),
                "Correct it in the story.",
            )
        };
        let mut value = serde_json::to_value(request).map_err(|e| unreadable(&e))?;
        self.fill(thread, &mut value)?;
        let judged = judged_record(&value);
        let request = serde_json::from_value(value).map_err(|e| unreadable(&e))?;
        let response = match logbook.handle(request) {
            Ok(response) => response,
            // A rule says no, as it would to the crew: that is part of the story, not its end.
            Err(error) if error.code.starts_with("logbook.") => {
                self.refused.push(Refused {
                    at: act.at.to_string(),
                    by: act.by.clone(),
                    code: error.code,
                    sentence: error.sentence,
                    next_step: error.next_step,
                });
                return Ok(());
            }
            Err(error) => {
                let mut sentence = format!("At {}, {}: {}", act.at, act.by, error.sentence);
                // An act that was refused before may be why this one finds nothing to act on.
                if let Some(before) = self.refused.last() {
                    sentence.push_str(&format!(
                        " Before that, at {}, {} was refused: {}",
                        before.at, before.by, before.sentence
                    ));
                }
                return Err(AppError { sentence, ..error });
            }
        };
        match response {
            Response::Entered { subject, .. } => {
                if let Some(name) = &act.called {
                    self.called.insert((thread, name.clone()), subject);
                }
            }
            Response::Judged { verdict, reason, .. } => {
                let (_, record) = logbook.record(&judged.unwrap_or_default())?;
                self.verdicts.push(Verdict {
                    at: act.at.to_string(),
                    of: thread.to_owned(),
                    attempt: record.latest().map_or(0, |attempt| attempt.number),
                    position: record.position,
                    title: record.title,
                    verdict: verdict.words().to_owned(),
                    reason,
                });
            }
            Response::Acting { .. } | Response::Draft { .. } => {}
        }
        Ok(())
    }

    /// Puts subjects for `$name`, as the thread called them, and bytes for `{ file = … }`.
    fn fill(&self, thread: &'static str, value: &mut serde_json::Value) -> Result<()> {
        match value {
            serde_json::Value::String(text) => {
                let named = text.strip_prefix('$').map(|name| (thread, name.to_owned()));
                if let Some(subject) = named.and_then(|named| self.called.get(&named)) {
                    subject.clone_into(text);
                }
            }
            serde_json::Value::Array(items) => {
                for item in items {
                    self.fill(thread, item)?;
                }
            }
            serde_json::Value::Object(fields) => {
                let file = fields.get("file").and_then(serde_json::Value::as_str);
                if let Some(file) = file.filter(|_| fields.len() == 1) {
                    let bytes = self.story.bytes(&format!("demo-site/{file}"))?;
                    *value = serde_json::json!({ "base64": BASE64.encode(bytes) });
                } else {
                    for (_, field) in fields.iter_mut() {
                        self.fill(thread, field)?;
                    }
                }
            }
            _ => {}
        }
        Ok(())
    }
}

/// The record that a request to judge is about.
fn judged_record(request: &serde_json::Value) -> Option<String> {
    request.get("record").and_then(serde_json::Value::as_str).map(str::to_owned)
}

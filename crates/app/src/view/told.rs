//! Entries in words: what a line of the ledger or of a dish's history says.

use ledger::Entry;
use logbook::document::RecordDoc;
use logbook::events::{Decision, Event, Witnessing};

use super::eye::{Eye, capital};

impl Eye<'_> {
    /// What an entry says, for a history that leaves out what stands in the record itself.
    pub(crate) fn told(&self, entry: &Entry, record: Option<&RecordDoc>) -> Option<String> {
        let event = read(entry)?;
        let shown = !matches!(
            event,
            Event::AnswerGiven(_)
                | Event::WeatherNoted(_)
                | Event::TranscriptionConfirmed(_)
                | Event::HoldStarted(_)
                | Event::HoldEnded(_)
        );
        shown.then(|| self.sentence(&event, record))
    }

    /// An entry in words, whatever its kind.
    pub(crate) fn title(&self, entry: &Entry) -> String {
        let header = entry.header();
        if header.kind() == ledger::kinds::FOUND {
            return "The site was founded".to_owned();
        }
        if entry.payload().is_none() {
            return format!("{}: its content is not here", in_words(header.kind()));
        }
        match read(entry) {
            Some(event) => {
                let record = self.logbook.record(&header.subject().to_string()).ok();
                self.sentence(&event, record.as_ref().map(|(_, record)| record))
            }
            None => format!("{}: needs a newer version of this program", in_words(header.kind())),
        }
    }

    fn sentence(&self, event: &Event, record: Option<&RecordDoc>) -> String {
        let of = record
            .map(|record| format!("{}, {}", record.position, record.title))
            .unwrap_or_default();
        let attempt = |number: u32| match of.as_str() {
            "" => format!("attempt {number}"),
            of => format!("{of}, attempt {number}"),
        };
        match event {
            Event::PersonEnrolled(e) => format!("{} came onto the site's list", e.name),
            Event::PaperRecorded(e) => {
                let paper = e.paper.kind.replace('-', " ");
                format!("{} of {} recorded", capital(&paper), self.source.name(&e.person))
            }
            Event::PersonCertified(e) => {
                format!("{} got a PIN and a certificate here", self.source.name(&e.person))
            }
            Event::InstrumentRegistered(e) => {
                format!("Instrument {} registered: {}", e.instrument, e.description)
            }
            Event::InstrumentCalibrated(e) => format!(
                "Certificate {} of {} entered, due {}",
                e.certificate,
                e.instrument,
                e.due.format("%-d %b %Y")
            ),
            Event::PositionRegistered(e) => format!("Dish {} registered", e.position),
            Event::SerialFitted(e) => {
                format!("{} fitted as {} on {}", e.serial, e.slot, e.position)
            }
            Event::SiteDescribed(_) => "The site was described".to_owned(),
            Event::ChecklistAdopted(e) => {
                format!("Checklist {} revision {} adopted", e.id, e.revision)
            }
            Event::CriteriaAdopted(e) => {
                format!("Criteria {} revision {} adopted", e.id, e.revision)
            }
            Event::RetestRulesAdopted(e) => {
                format!("Re-test rules {} revision {} adopted", e.id, e.revision)
            }
            Event::DishDesignAdopted(e) => {
                format!("Design of dish type {} revision {} adopted", e.id, e.revision)
            }
            Event::RecordOpened(e) => match of.as_str() {
                "" => format!("Record opened on {}", e.position),
                of => format!("Record opened: {of}"),
            },
            Event::AttemptStarted(e) => format!("{} started", capital(&attempt(e.attempt))),
            Event::AttemptInterrupted(e) => {
                format!("{} interrupted: {}", capital(&attempt(e.attempt)), e.reason)
            }
            Event::WeatherNoted(e) => format!("{}: weather noted", capital(&attempt(e.attempt))),
            Event::AnswerGiven(e) => self.at_step(record, &attempt(e.attempt), &e.step, "answered"),
            Event::SurveyTaken(e) => {
                let did = if e.replaces.is_some() { "surveyed again" } else { "surveyed" };
                self.at_step(record, &attempt(e.attempt), &e.step, did)
            }
            Event::SeriesImported(e) => {
                let did = if e.replaces.is_some() { "imported again" } else { "imported" };
                self.at_step(record, &attempt(e.attempt), &e.step, did)
            }
            Event::HoldStarted(e) => {
                self.at_step(record, &attempt(e.attempt), &e.step, "hold begun")
            }
            Event::HoldEnded(e) => self.at_step(record, &attempt(e.attempt), &e.step, "hold ended"),
            Event::CorrectionMade(e) => match of.as_str() {
                "" => format!("An answer corrected: {}", e.reason),
                of => format!("{of}: an answer corrected: {}", e.reason),
            },
            Event::TranscriptionConfirmed(e) => {
                format!("{} typed in from paper confirmed by their performer", e.entries.len())
            }
            Event::StepWitnessed(e) => {
                let what = match &e.witnessing {
                    Witnessing::Present {} => "witnessed",
                    Witnessing::InvitedAbsent { .. } => "witness invited and absent",
                };
                self.at_step(record, &attempt(e.attempt), &e.step, what)
            }
            Event::AttemptFinished(e) => {
                format!("{} finished and signed by its performer", capital(&attempt(e.attempt)))
            }
            Event::AttemptWithdrawn(e) => {
                format!("{} was entered in error: {}", capital(&attempt(e.attempt)), e.reason)
            }
            Event::VerdictReached(e) => format!(
                "{} judged: {}. {}",
                capital(&attempt(e.attempt)),
                e.verdict.words(),
                e.reason
            ),
            Event::RecordReviewed(e) => {
                let decided = match e.decision {
                    Decision::Accept => "accepted",
                    Decision::Reject => "rejected",
                };
                let why = e.reason.as_ref().map(|why| format!(": {why}")).unwrap_or_default();
                format!("{} {decided}{why}", capital(&attempt(e.attempt)))
            }
            Event::FindingRaised(e) => {
                format!("Finding {:?} raised on {}: {}", e.category, e.position, e.text)
            }
            Event::FindingClosed(e) => format!("Finding closed: {}", e.done),
            Event::ReportIssued(e) => format!("Handover report of {} issued", e.position),
            Event::ReportSigned(e) => format!("Handover report signed as {}", e.field),
        }
    }

    fn at_step(&self, record: Option<&RecordDoc>, of: &str, step: &str, did: &str) -> String {
        let titled = record
            .and_then(|record| self.source.checklist_of(record).ok())
            .and_then(|checklist| {
                checklist.step(step).map(|step| format!("{} {}", step.number, step.title))
            })
            .unwrap_or_else(|| step.to_owned());
        format!("{}: {titled}, {did}", capital(of))
    }
}

fn read(entry: &Entry) -> Option<Event> {
    let header = entry.header();
    Event::read(header.kind(), header.kind_version(), entry.payload()?).ok()
}

/// A kind as words, for entries whose content can't be read.
fn in_words(kind: &str) -> String {
    capital(&kind.replace('_', " "))
}

//! The dispatcher: every request of the API, each to its use case.

mod answering;
mod assets;
mod closing;
pub(crate) mod measuring;
mod records;

use crate::error::Result;
use crate::logbook::Logbook;
use crate::request::{Request, Response};

impl Logbook {
    /// Carries out one request. What is entered is durable when this returns.
    ///
    /// # Errors
    /// A code, a sentence and the next step; then nothing was entered.
    pub fn handle(&mut self, request: Request) -> Result<Response> {
        match request {
            Request::EnrolPerson(person) => self.enrol(&person),
            Request::RecordPaper(paper) => self.record_paper(&paper),
            Request::GivePin { person, pin } => self.pin_for(&person, &pin),
            Request::ActAs { person, role, pin } => {
                self.act_as(&person, role, &pin)?;
                Ok(self.who_acts())
            }
            Request::ChangePerson {} => {
                self.acting = None;
                Ok(self.who_acts())
            }
            Request::RegisterInstrument(instrument) => self.register_instrument(&instrument),
            Request::RecordCalibration(calibration) => self.record_calibration(&calibration),
            Request::RegisterPosition { position, cluster, dish_type, lists } => {
                self.register_position(position, cluster, dish_type, lists)
            }
            Request::FitSerial { position, slot, serial, reason, worked_at } => {
                self.fit_serial(&position, slot, serial, reason, worked_at.as_ref())
            }
            Request::DescribeSite(described) => self.describe_site(&described),
            Request::Adopt { what, content } => self.adopt(what, content),
            Request::OpenRecord { position, checklist, criteria } => {
                self.open_record(&position, &checklist, &criteria)
            }
            Request::StartAttempt { record, from_step, reason, assisted_by, permit } => {
                self.start_attempt(&record, from_step, reason, assisted_by, permit)
            }
            Request::NoteWeather { record, observations } => {
                self.note_weather(&record, observations)
            }
            Request::Interrupt { record, reason } => self.interrupt(&record, reason),
            Request::Answer(answer) => self.answer(*answer),
            Request::Correct { answer, reason } => self.correct(*answer, reason),
            Request::Survey(asked) => self.take_survey(*asked),
            Request::ImportSeries(asked) => self.import_series(*asked),
            Request::StartHold(mark) => self.start_hold(mark),
            Request::EndHold(mark) => self.end_hold(mark),
            Request::ConfirmTranscription { record } => self.confirm_transcription(&record),
            Request::DealWithWitness { record, step, witness } => {
                self.deal_with_witness(&record, step, witness)
            }
            Request::Finish { record } => self.finish(&record),
            Request::Judge { record } => self.judge(&record),
            Request::Review { record, decision, reason } => self.review(&record, decision, reason),
            Request::RaiseFinding(asked) => self.raise_finding(asked),
            Request::CloseFinding { finding, done_by, done, photos } => {
                self.close_finding(&finding, done_by, done, &photos)
            }
            Request::KeepDraft { name, text } => self.keep_draft(&name, &text),
            Request::Draft { name } => self.draft(&name),
        }
    }

    fn who_acts(&self) -> Response {
        let (person, role) = self.acting.as_ref().map_or_else(Default::default, |acting| {
            (acting.person.person.clone(), acting.role.title().to_owned())
        });
        Response::Acting { person, role }
    }

    fn keep_draft(&mut self, name: &str, text: &str) -> Result<Response> {
        self.store.put_draft(name, text.as_bytes())?;
        Ok(Response::Draft { text: Some(text.to_owned()) })
    }

    fn draft(&self, name: &str) -> Result<Response> {
        let kept = self.store.draft(name)?;
        let text = kept.map(|bytes| String::from_utf8_lossy(&bytes).into_owned());
        Ok(Response::Draft { text })
    }
}

/// The answer for an entry that was made.
pub(crate) fn entered(entry: &ledger::EntryId, subject: &ledger::Subject) -> Response {
    Response::Entered { entry: entry.to_string(), subject: subject.to_string() }
}

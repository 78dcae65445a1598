//! What the whole site relies on: people, instruments, positions, serials, adopted files.

use std::collections::BTreeMap;

use ledger::Subject;
use logbook::document::{InstrumentDoc, PositionDoc};
use logbook::events::{
    ChecklistAdopted, CriteriaAdopted, DishDesignAdopted, InstrumentCalibrated,
    InstrumentRegistered, PaperRecorded, PersonEnrolled, PositionRegistered, RetestRulesAdopted,
    SerialFitted, SiteDescribed,
};
use logbook::source::{Checklist, Criteria, DishDesign, RetestRules, content_hash};
use logbook::{Key, Moment, rules, tag};

use crate::acts::entered;
use crate::error::{AppError, Result};
use crate::logbook::Logbook;
use crate::request::{Adoptable, Response};

impl Logbook {
    fn may_administer(&self) -> Result<()> {
        Ok(rules::may_administer(self.role()?)?)
    }

    pub(super) fn enrol(&mut self, person: &PersonEnrolled) -> Result<Response> {
        self.may_administer()?;
        if self.person(&person.person).is_ok() {
            return Err(taken("The person's id", &person.person));
        }
        let subject = self.new_subject()?;
        let entry = self.enter(&subject, person, &[])?;
        Ok(entered(&entry, &subject))
    }

    pub(super) fn record_paper(&mut self, paper: &PaperRecorded) -> Result<Response> {
        self.may_administer()?;
        let subject = self.subject_of(&self.person(&paper.person)?.enrolled.entry)?;
        let entry = self.enter(&subject, paper, &[])?;
        Ok(entered(&entry, &subject))
    }

    pub(super) fn pin_for(&mut self, person: &str, pin: &str) -> Result<Response> {
        let has_one = self.store.local(&crate::people::sealed_under(person))?.is_some();
        if has_one && self.acting()?.person.person != person {
            return Err(AppError::new(
                "people.has_pin",
                format!(
                    "{} has a PIN here, which nobody else may replace.",
                    self.person(person)?.name
                ),
                "Let that person act with the old PIN, then give the new one.",
            ));
        }
        if !has_one {
            self.may_administer()?;
        }
        let entry = self.give_pin(person, pin)?;
        let subject = self.subject_of(&entry)?;
        Ok(entered(&entry, &subject))
    }

    pub(super) fn register_instrument(
        &mut self,
        instrument: &InstrumentRegistered,
    ) -> Result<Response> {
        self.may_administer()?;
        let key = Key::instrument(&instrument.instrument);
        if self.document::<InstrumentDoc>(&key)?.is_some() {
            return Err(taken("The instrument's id", &instrument.instrument));
        }
        let subject = self.new_subject()?;
        let entry = self.enter(&subject, instrument, &[])?;
        Ok(entered(&entry, &subject))
    }

    pub(super) fn record_calibration(
        &mut self,
        calibration: &InstrumentCalibrated,
    ) -> Result<Response> {
        self.may_administer()?;
        let key = Key::instrument(&calibration.instrument);
        let Some(instrument) = self.document::<InstrumentDoc>(&key)? else {
            return Err(AppError::new(
                "instrument.unknown",
                format!("\"{}\" is not on the site's list of instruments.", calibration.instrument),
                "Register the instrument first, or check the id on its label.",
            ));
        };
        let subject = self.subject_of(&instrument.registered.entry)?;
        let entry = self.enter(&subject, calibration, &[])?;
        Ok(entered(&entry, &subject))
    }

    pub(super) fn register_position(
        &mut self,
        position: String,
        cluster: String,
        dish_type: String,
        lists: BTreeMap<String, Vec<String>>,
    ) -> Result<Response> {
        self.may_administer()?;
        if self.document::<PositionDoc>(&Key::position(&position))?.is_some() {
            return Err(taken("The dish position", &position));
        }
        let check_letter = tag::check_letter(&position).to_string();
        let registered = PositionRegistered { position, check_letter, cluster, dish_type, lists };
        let subject = self.new_subject()?;
        let entry = self.enter(&subject, &registered, &[])?;
        Ok(entered(&entry, &subject))
    }

    pub(super) fn fit_serial(
        &mut self,
        position: &str,
        slot: String,
        serial: String,
        reason: Option<String>,
        worked_at: Option<&Moment>,
    ) -> Result<Response> {
        self.may_administer()?;
        let dish = self.position(position)?;
        let fitted = SerialFitted {
            position: dish.position.clone(),
            slot,
            serial,
            worked_at: self.worked_at(worked_at)?,
            reason,
        };
        let entry = self.enter(&dish.subject, &fitted, &[])?;
        Ok(entered(&entry, &dish.subject))
    }

    /// A dish position by what was typed, with or without its check letter.
    pub(crate) fn position(&self, typed: &str) -> Result<PositionDoc> {
        let code = tag::read(typed)?;
        self.document(&Key::position(&code))?.ok_or_else(|| {
            AppError::new(
                "position.unknown",
                format!("There is no dish position \"{code}\" in this logbook."),
                "Check the label on the dish; code and check letter must both fit.",
            )
        })
    }

    pub(super) fn describe_site(&mut self, described: &SiteDescribed) -> Result<Response> {
        self.may_administer()?;
        rules::site_description(described)?;
        let subject = self.new_subject()?;
        let entry = self.enter(&subject, described, &[])?;
        Ok(entered(&entry, &subject))
    }

    pub(super) fn adopt(&mut self, what: Adoptable, content: String) -> Result<Response> {
        self.may_administer()?;
        let hash = content_hash(&content);
        let subject = self.new_subject()?;
        let entry = match what {
            Adoptable::Checklist => {
                let read = Checklist::parse("checklist", &content).map_err(|e| unreadable(&e))?;
                let adopted =
                    ChecklistAdopted { id: read.id, revision: read.revision, hash, content };
                self.enter(&subject, &adopted, &[])?
            }
            Adoptable::Criteria => {
                let read = Criteria::parse("criteria", &content).map_err(|e| unreadable(&e))?;
                let adopted =
                    CriteriaAdopted { id: read.id, revision: read.revision, hash, content };
                self.enter(&subject, &adopted, &[])?
            }
            Adoptable::RetestRules => {
                let read =
                    RetestRules::parse("re-test rules", &content).map_err(|e| unreadable(&e))?;
                let adopted =
                    RetestRulesAdopted { id: read.id, revision: read.revision, hash, content };
                self.enter(&subject, &adopted, &[])?
            }
            Adoptable::DishDesign => {
                let read =
                    DishDesign::parse("dish design", &content).map_err(|e| unreadable(&e))?;
                let adopted =
                    DishDesignAdopted { id: read.id, revision: read.revision, hash, content };
                self.enter(&subject, &adopted, &[])?
            }
        };
        Ok(entered(&entry, &subject))
    }

    /// Reads a subject that a front end gives.
    pub(crate) fn subject(typed: &str) -> Result<Subject> {
        Subject::new(typed).map_err(|cause| {
            AppError::new(
                "request.subject",
                format!("{cause}."),
                "Use the subject that the opening of the record or finding returned.",
            )
        })
    }
}

fn taken(what: &str, id: &str) -> AppError {
    AppError::new(
        "request.taken",
        format!("{what} \"{id}\" is taken; ids are never used again."),
        "Choose another id, or use what is registered under this one.",
    )
}

fn unreadable(problems: &logbook::source::Problems) -> AppError {
    AppError::new(
        "adopt.unreadable",
        format!("The file can't be adopted: {problems}."),
        "Correct the places named, then adopt it again. Nothing was entered.",
    )
}

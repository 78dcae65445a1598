//! Required proofs and open items of a dish, for the first page.

use logbook::document::{AdoptedDoc, AttemptDoc, FindingDoc, PositionDoc};
use logbook::source::{Requirement, RetestRules};
use logbook::{Key, ProofState, read};
use report::model;

use super::source::Source;
use crate::error::Result;
use crate::words;

impl Source<'_> {
    /// The requirements of a dish, in the order of the adopted re-test rules.
    pub(super) fn requirements(&self) -> Result<Vec<Requirement>> {
        let site = self.site_document()?;
        let Some((id, adopted)) = site.retest_rules.first_key_value() else {
            return Ok(Vec::new());
        };
        let key = Key::retest_rules(id, &adopted.revision);
        let rules: Option<AdoptedDoc<RetestRules>> = self.document(&key)?;
        Ok(rules.map(|rules| rules.read.requirements).unwrap_or_default())
    }

    /// Open and closed items of a dish, in the order of their keys, which is that of time.
    pub(super) fn findings_of(&self, position: &str) -> Result<Vec<FindingDoc>> {
        let documents = self.shelf;
        let mut found = Vec::new();
        for key in documents.keys("finding/")? {
            let finding: Option<FindingDoc> = read(documents, &key)?;
            found.extend(finding.filter(|finding| finding.position == position));
        }
        Ok(found)
    }

    pub(super) fn proof_lines(&self, dish: &PositionDoc) -> Result<Vec<model::Proof>> {
        self.requirements()?
            .iter()
            .map(|requirement| self.proof_line(dish, &requirement.id))
            .collect()
    }

    fn proof_line(&self, dish: &PositionDoc, requirement: &str) -> Result<model::Proof> {
        let proof = dish.proof(requirement);
        let mut line = model::Proof {
            requirement: requirement.to_owned(),
            state: state(proof.state),
            result: proof.reasons.join(" "),
            limit: String::new(),
            accepted: String::new(),
            attempt: String::new(),
            people: String::new(),
            turn_to: String::new(),
        };
        if proof.record.is_none() && proof.state == ProofState::Owed {
            line.result = "nothing recorded".to_owned();
        }
        let (Some(record), Some(number)) = (&proof.record, proof.attempt) else { return Ok(line) };
        let record = self.record(record)?;
        let Some(attempt) = record.attempt(number) else { return Ok(line) };
        line.attempt = format!("{number} of {}", record.attempts.len());
        line.turn_to = attempt_id(requirement, number);
        if let Some(limit) = attempt.verdict().and_then(|verdict| verdict.limits.first()) {
            line.limit = format!("≤ {}", limit.value);
        }
        if let Some(result) = judged_result(attempt).filter(|_| proof.state == ProofState::Stands) {
            line.result = result;
        }
        if let Some(review) = attempt.review().filter(|_| proof.state == ProofState::Stands) {
            line.accepted = words::day(&review.stamp.claimed);
        }
        let performer = attempt.finished.as_ref().map(|stamp| stamp.person.as_str());
        let reviewer = attempt.review().map(|review| review.stamp.person.as_str());
        let names: Vec<String> = performer
            .into_iter()
            .chain(reviewer)
            .map(|id| self.person(id).map_or_else(|_| id.to_owned(), |person| person.name))
            .collect();
        line.people = names.join("; ");
        Ok(line)
    }

    pub(super) fn face(&self, dish: &PositionDoc, as_known: &str) -> Result<model::Face> {
        let ticks =
            self.findings_of(&dish.position)?
                .iter()
                .filter(|finding| finding.closed.is_none())
                .filter_map(|finding| {
                    let requirement = finding.record.as_ref().and_then(|record| {
                        dish.records.iter().find(|known| &known.record == record)
                    })?;
                    Some(model::FaceTick {
                        requirement: requirement.requirement.clone(),
                        class: class(finding.category),
                    })
                })
                .collect();
        Ok(model::Face {
            holds: Vec::new(),
            ticks,
            locks: 0,
            locks_sentence: format!(
                "Locks are not kept by this version. The lock board at the dish decides. {as_known}"
            ),
        })
    }
}

/// The judged result with its doubt, "0.76 % ± 0.11 %", from the calculation's own figures.
fn judged_result(attempt: &AttemptDoc) -> Option<String> {
    let sheet = attempt.verdict()?.sheet.as_ref()?;
    let all = sheet.combined.as_ref()?;
    let result = sheet.result(&all.of)?;
    // Which gas is part of the result: the same readings mean another loss with another gas.
    let gas = sheet.inputs.iter().find(|input| input.field == "gas");
    let gas = gas.map(|input| format!("{}: ", input.typed)).unwrap_or_default();
    Some(format!(
        "{gas}{} {} {} ± {} {} (k = {})",
        result.meaning, result.value, result.unit, all.expanded, all.unit, all.coverage_factor
    ))
}

/// How attempts are named within a report.
pub(super) fn attempt_id(requirement: &str, number: u32) -> String {
    format!("{requirement}-{number}")
}

fn state(state: ProofState) -> model::ProofState {
    match state {
        ProofState::Owed => model::ProofState::Owed,
        ProofState::UnderReview => model::ProofState::UnderReview,
        ProofState::Stands => model::ProofState::Stands,
        ProofState::Voided => model::ProofState::Voided,
        // Nobody can say how it stands: an entry needs a newer version of the program.
        ProofState::Withheld => model::ProofState::Undecided,
    }
}

fn class(category: logbook::events::PunchCategory) -> model::TickClass {
    match category {
        logbook::events::PunchCategory::A => model::TickClass::A,
        logbook::events::PunchCategory::B => model::TickClass::B,
        logbook::events::PunchCategory::C => model::TickClass::C,
    }
}

/// How many proofs stand, and how many are owed.
pub(super) fn standing(proofs: &[model::Proof]) -> (usize, usize) {
    let stand = proofs.iter().filter(|p| p.state == model::ProofState::Stands).count();
    (stand, proofs.len() - stand)
}

//! Required proofs and open items of a dish, for the first page.

use acceptance::{Outcome, Sheet};
use logbook::document::{AdoptedDoc, AttemptDoc, FindingDoc, PositionDoc, VerdictDoc};
use logbook::source::{Checklist, Compared, Requirement, RetestRules, Side};
use logbook::{Key, ProofState, read};
use report::model;

use super::sheets::with_unit;
use super::source::Source;
use crate::error::Result;
use crate::words;

/// So many judged results stand in the line of a proof.
const MOST_RESULTS: usize = 2;

impl Source<'_> {
    /// The requirements of a dish, in the order of the adopted re-test rules.
    pub(crate) fn requirements(&self) -> Result<Vec<Requirement>> {
        let site = self.site_document()?;
        let Some((id, adopted)) = site.retest_rules.first_key_value() else {
            return Ok(Vec::new());
        };
        let key = Key::retest_rules(id, &adopted.revision);
        let rules: Option<AdoptedDoc<RetestRules>> = self.document(&key)?;
        Ok(rules.map(|rules| rules.read.requirements).unwrap_or_default())
    }

    /// The name of a requirement where there is little room; of one that is none, its id.
    pub(super) fn short(&self, requirement: &str) -> Result<String> {
        let required = self.requirements()?;
        let found = required.iter().find(|one| one.id == requirement);
        Ok(found.map_or(requirement, Requirement::short).to_owned())
    }

    /// Open and closed items of a dish, in the order of their keys, which is that of time.
    pub(crate) fn findings_of(&self, position: &str) -> Result<Vec<FindingDoc>> {
        let documents = self.shelf;
        let mut found = Vec::new();
        for key in documents.keys("finding/")? {
            let finding: Option<FindingDoc> = read(documents, &key)?;
            found.extend(finding.filter(|finding| finding.position == position));
        }
        Ok(found)
    }

    pub(crate) fn proof_lines(&self, dish: &PositionDoc) -> Result<Vec<model::Proof>> {
        self.requirements()?.iter().map(|requirement| self.proof_line(dish, requirement)).collect()
    }

    fn proof_line(&self, dish: &PositionDoc, of: &Requirement) -> Result<model::Proof> {
        let requirement = of.id.as_str();
        let proof = dish.proof(requirement);
        let mut line = model::Proof {
            requirement: requirement.to_owned(),
            short: of.short.clone().unwrap_or_default(),
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
        if let Some((result, limit)) = judged(attempt, &self.checklist_of(&record)?) {
            line.limit = limit;
            if proof.state == ProofState::Stands {
                line.result = result;
            }
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

    pub(crate) fn face(&self, dish: &PositionDoc, as_known: &str) -> Result<model::Face> {
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
                "This version keeps no locks; the lock board at the dish decides. {as_known}"
            ),
        })
    }
}

/// What the checklist's first conditions found by calculation, with their limits: "loss of contents
/// 0.76 % ± 0.11 %" and "≤ 1.0 % per 12 h". One that only counts things is left to the attempt.
fn judged(attempt: &AttemptDoc, checklist: &Checklist) -> Option<(String, String)> {
    let verdict = attempt.verdict()?;
    let (mut results, mut limits) = (Vec::new(), Vec::new());
    for (condition, limit) in checklist.acceptance.iter().zip(&verdict.limits) {
        let (result, sign) = match &condition.by {
            Compared::Calculation(step) => {
                let Some(sheet) = of_step(verdict, step) else { break };
                (main_result(sheet), sign(sheet))
            }
            Compared::Result(asked) => {
                let Some(sheet) = of_step(verdict, &asked.calculation) else { break };
                let result = sheet.result(&asked.name).filter(|result| !result.unit.is_empty());
                let sign = match asked.side {
                    Side::AtMost => "≤",
                    Side::AtLeast => "≥",
                };
                (result.map(|result| result_words(sheet, result)), sign)
            }
            _ => break,
        };
        let (Some(result), true) = (result, results.len() < MOST_RESULTS) else { break };
        results.push(result);
        // The sign stays with its number.
        let limit = format!("{sign}\u{a0}{}", limit.value);
        if !limits.contains(&limit) {
            limits.push(limit);
        }
    }
    (!results.is_empty()).then(|| (results.join("; "), limits.join("; ")))
}

/// The sheet of a step; an early verdict has one sheet and does not name its step.
fn of_step<'v>(verdict: &'v VerdictDoc, step: &str) -> Option<&'v Sheet> {
    verdict.sheet_of(step).or_else(|| verdict.sheet_of(""))
}

/// The judged result of a sheet: the one that carries the doubt, otherwise the first.
fn main_result(sheet: &Sheet) -> Option<String> {
    let of = sheet.combined.as_ref().and_then(|all| sheet.result(&all.of));
    let result = result_words(sheet, of.or(sheet.results.first())?);
    // Which gas is part of the result: the same readings mean another loss with another gas.
    let gas = sheet.inputs.iter().find(|input| input.field == "gas");
    Some(match gas {
        Some(gas) => format!("{}: {result}", gas.typed),
        None => result,
    })
}

/// A result with its doubt, where it has one.
fn result_words(sheet: &Sheet, result: &Outcome) -> String {
    let plain = format!("{} {}", result.meaning, with_unit(&result.value, &result.unit));
    match sheet.combined.as_ref().filter(|all| all.of == result.name) {
        Some(all) => {
            let doubt = with_unit(&all.expanded, &all.unit);
            format!("{plain} ± {doubt} (k = {})", all.coverage_factor)
        }
        None => plain,
    }
}

/// On which side of the limit a sheet's result has to lie, by its own rule.
fn sign(sheet: &Sheet) -> &'static str {
    let text = sheet.rule.as_ref().map(|rule| rule.text.as_str()).unwrap_or_default();
    if text.contains('≥') && !text.contains('≤') { "≥" } else { "≤" }
}

/// How attempts are named within a report.
pub(crate) fn attempt_id(requirement: &str, number: u32) -> String {
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
pub(crate) fn standing(proofs: &[model::Proof]) -> (usize, usize) {
    let stand = proofs.iter().filter(|p| p.state == model::ProofState::Stands).count();
    (stand, proofs.len() - stand)
}

//! The view model of a handover report: everything that it says, as finished text.

use logbook::Key;
use logbook::document::{PositionDoc, RecordDoc, SiteDoc, StatusDoc};
use report::model;

use super::behind::Carried;
use super::proofs::standing;
use super::source::Source;
use crate::error::Result;
use crate::words;

impl Source<'_> {
    pub(super) fn view(&self, dish: &PositionDoc, carried: &Carried) -> Result<model::Handover> {
        let site = self.site_document()?;
        let now = self.now.clone();
        let records = self.records_of(dish)?;
        let proofs = self.proof_lines(dish)?;
        let (stand, owed) = standing(&proofs);
        let as_known = format!("As known to {} on {}.", site.installation, words::when(&now));
        let headline = format!(
            "{}; {}",
            words::count(stand, "proof stands", "proofs stand"),
            words::count(owed, "owed", "owed")
        );
        let mut view = model::Handover {
            format: model::FORMAT,
            identity: model::Identity {
                report_id: self.report.clone(),
                kind: "Handover report".to_owned(),
                language: "en".to_owned(),
                issued_at: now.to_string(),
                issued: words::when(&now),
                issued_by: self.issuer.clone(),
            },
            site: model::Site {
                name: site.name.clone(),
                place: String::new(),
                cluster: format!("cluster {}", dish.cluster),
                authority: self.site.to_string(),
            },
            dish: fitted(dish),
            headline,
            facts: vec![fact("Label", &format!("{}-{}", dish.position, dish.check_letter))],
            scope: scope(&records, owed),
            criteria: criteria(&records, &site),
            verdict: verdict(
                dish,
                &proofs,
                format!("{} entries of {}. {as_known}", carried.entries, site.installation),
            ),
            exceptions: self.exceptions(dish, &records, &site.installation)?,
            face: self.face(dish, &as_known)?,
            proofs,
            attempts: Vec::new(),
            sheets: Vec::new(),
            corrections: Vec::new(),
            instruments: Self::instruments_shown(&records),
            people: self.people_shown(dish, &records)?,
            cautions: Vec::new(),
            knowledge: model::Knowledge { as_known, not_heard_from: self.not_heard_from(&site)? },
            not_covered: not_covered(owed),
            components: Vec::new(),
            evidence: self.evidence_shown(carried)?,
            signature_places: places(),
        };
        self.fill_records(&mut view, &records, &site)?;
        Ok(view)
    }

    fn fill_records(
        &self,
        view: &mut model::Handover,
        records: &[RecordDoc],
        site: &SiteDoc,
    ) -> Result<()> {
        view.components.push(model::Component {
            name: "Dishwright".to_owned(),
            version: env!("CARGO_PKG_VERSION").to_owned(),
            digest: String::new(),
        });
        for record in records {
            let checklist = self.checklist_of(record)?;
            let designs = record.attempts.iter().filter_map(|attempt| attempt.design.as_ref());
            for revision in [&record.checklist, &record.criteria].into_iter().chain(designs) {
                let component = model::Component {
                    name: revision.id.clone(),
                    version: revision.revision.clone(),
                    digest: revision.hash.to_string(),
                };
                if !view.components.contains(&component) {
                    view.components.push(component);
                }
            }
            for caution in &checklist.cautions {
                if !view.cautions.contains(caution) {
                    view.cautions.push(caution.clone());
                }
            }
            view.corrections.extend(self.corrections(record, &checklist, &site.installation));
            for attempt in &record.attempts {
                view.attempts.push(self.attempt_shown(
                    record,
                    attempt,
                    &checklist,
                    &site.installation,
                ));
                view.sheets.extend(self.sheets_shown(
                    record,
                    attempt,
                    &checklist,
                    &site.installation,
                ));
            }
        }
        for sheet in &view.sheets {
            let (name, version) = match sheet.calculation.rsplit_once(", version ") {
                Some((name, version)) => (name.to_owned(), version.to_owned()),
                None => (sheet.calculation.clone(), String::new()),
            };
            let same = |part: &model::Component| part.name == name && part.version == version;
            let named = view.components.iter().any(same);
            if !named {
                view.components.push(model::Component { name, version, digest: String::new() });
            }
        }
        Ok(())
    }

    fn records_of(&self, dish: &PositionDoc) -> Result<Vec<RecordDoc>> {
        dish.records.iter().map(|record| self.record(&record.record)).collect()
    }

    /// Open items, and attempts that failed or could not be judged.
    pub(crate) fn exceptions(
        &self,
        dish: &PositionDoc,
        records: &[RecordDoc],
        installation: &str,
    ) -> Result<Vec<model::Exception>> {
        let mut list = Vec::new();
        for finding in self.findings_of(&dish.position)? {
            let place = finding.place.clone().unwrap_or_else(|| "finding".to_owned());
            let (state, stamp) = match (&finding.done, &finding.closed) {
                (Some((by, what)), Some(closed)) => (
                    format!(
                        "Done by {}, verified by {} {}: {what}",
                        self.name(by),
                        self.name(&closed.person),
                        words::when_short(&closed.claimed)
                    ),
                    closed,
                ),
                _ => ("Open.".to_owned(), &finding.raised),
            };
            list.push(model::Exception {
                subject: place,
                text: format!("finding {:?}. {} {state}", finding.category, finding.text),
                reference: words::entry(installation, stamp),
            });
        }
        for record in records {
            let subject = self.short(&record.requirement)?;
            for attempt in &record.attempts {
                let Some(verdict) = attempt.verdict() else { continue };
                if verdict.verdict == logbook::Verdict::Pass {
                    continue;
                }
                list.push(model::Exception {
                    subject: subject.clone(),
                    text: match verdict.verdict {
                        logbook::Verdict::Fail => {
                            format!("Attempt {} failed. {}", attempt.number, verdict.reason)
                        }
                        _ => format!("Attempt {}. {}", attempt.number, verdict.reason),
                    },
                    reference: words::entry(installation, &verdict.stamp),
                });
            }
        }
        Ok(list)
    }

    /// Other chains that this installation has heard from, and when last.
    fn not_heard_from(&self, site: &SiteDoc) -> Result<Vec<model::NotHeardFrom>> {
        let status: StatusDoc = self.document(&Key::status())?.unwrap_or_default();
        let others = status.chains.iter().filter(|(chain, _)| **chain != self.chain);
        let mut list: Vec<model::NotHeardFrom> = others
            .map(|(chain, heard)| model::NotHeardFrom {
                installation: format!("chain {}", chain.short()),
                since: words::when(&heard.claimed),
            })
            .collect();
        if list.is_empty() {
            list.push(model::NotHeardFrom {
                installation: format!("any tablet but {}", site.installation),
                since: "the founding; this version exchanges no records".to_owned(),
            });
        }
        Ok(list)
    }
}

fn fact(name: &str, value: &str) -> model::Fact {
    model::Fact { name: name.to_owned(), value: value.to_owned() }
}

fn fitted(dish: &PositionDoc) -> model::Dish {
    let serials = dish
        .fitted
        .iter()
        .filter(|fitted| fitted.to.is_none())
        .map(|fitted| model::FittedSerial {
            slot: fitted.slot.clone(),
            serial: fitted.serial.clone(),
            note: format!("fitted {}", words::day(&fitted.from)),
        })
        .collect();
    model::Dish { position: dish.position.clone(), design: dish.dish_type.clone(), serials }
}

fn scope(records: &[RecordDoc], owed: usize) -> Vec<String> {
    let mut scope: Vec<String> = records
        .iter()
        .map(|record| {
            format!(
                "{}, {} revision {}, {}.",
                record.title,
                record.checklist.id,
                record.checklist.revision,
                words::count(record.attempts.len(), "attempt", "attempts")
            )
        })
        .collect();
    if owed > 0 {
        scope.push("What is owed is not handed over with this report.".to_owned());
    }
    scope
}

fn criteria(records: &[RecordDoc], site: &SiteDoc) -> model::CriteriaRevision {
    let named = records.last().map(|record| &record.criteria);
    let adopted = named.and_then(|named| site.criteria.get(&named.id));
    model::CriteriaRevision {
        name: named.map(|named| named.id.clone()).unwrap_or_default(),
        revision: named.map(|named| named.revision.clone()).unwrap_or_default(),
        digest: named.map(|named| named.hash.to_string()).unwrap_or_default(),
        source: adopted
            .map(|adopted| {
                format!(
                    "{}, adopted {} as {}",
                    adopted.title,
                    words::day(&adopted.by.claimed),
                    words::entry(&site.installation, &adopted.by)
                )
            })
            .unwrap_or_default(),
    }
}

fn verdict(dish: &PositionDoc, proofs: &[model::Proof], seen: String) -> model::Verdict {
    let (stand, owed) = standing(proofs);
    let names: Vec<&str> = proofs
        .iter()
        .filter(|proof| proof.state == model::ProofState::Stands)
        .map(model::Proof::name)
        .collect();
    let (kind, title) = match (stand, owed) {
        (0, _) => (model::VerdictKind::NotAccepted, "Nothing is accepted yet".to_owned()),
        (_, 0) => (model::VerdictKind::Accepted, "Every required proof stands".to_owned()),
        _ => (model::VerdictKind::Partial, format!("Accepted in part: {}", names.join(", "))),
    };
    let sentence = match owed {
        0 => format!("{} is handed over with all its proofs.", dish.position),
        _ => format!(
            "{} of {} proofs of {} stand. The dish as a whole is not handed over.",
            stand,
            proofs.len(),
            dish.position
        ),
    };
    model::Verdict {
        kind,
        title,
        sentence,
        conditions: vec![
            "A proof stands for this position with the serials named here, until later work, a \
             lapsed interval or an instrument found wrong voids it."
                .to_owned(),
            "Hydrogen only after gas-in was authorised by the roles that the site names."
                .to_owned(),
        ],
        seen,
    }
}

fn not_covered(owed: usize) -> Vec<String> {
    let mut list = vec![
        "Whether anyone may approach, enter, fill or run the dish: the lock board at the dish, \
         local rules and the people in charge decide."
            .to_owned(),
        "Lockouts, hold points and re-tests after later work: this version does not keep them."
            .to_owned(),
        "What other tablets recorded: this version does not exchange with them.".to_owned(),
    ];
    if owed > 0 {
        list.insert(0, format!("The {} that are owed.", words::count(owed, "proof", "proofs")));
    }
    list
}

/// The places for signatures, in the order of signing.
pub(crate) fn places() -> Vec<model::SignaturePlace> {
    let place = |field: &str, role: &str, meaning: &str| model::SignaturePlace {
        field: field.to_owned(),
        role: role.to_owned(),
        meaning: meaning.to_owned(),
        expected: String::new(),
    };
    vec![
        place("crew", "Crew", "Did the work as recorded here"),
        place("supervisor", "Supervisor", "Reviewed the records and accepts what is marked so"),
        place("owner", "Owner", "Takes over what is marked as accepted"),
    ]
}

//! The yard: where the dishes stand, and the morning list.

use quantity::{Dimension, Field};
use report::figure::Cut;
use report::model;
use serde::Serialize;
use ts_rs::TS;

use super::common::{Knowledge, Target};
use super::eye::{Eye, label};
use super::morning::{Line, Rank};
use super::proofs::owed;
use crate::error::Result;

/// The first screen.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub(crate) struct YardView {
    pub(crate) site: String,
    pub(crate) day: String,
    pub(crate) dishes: Vec<YardDish>,
    /// What needs deciding first, what can be signed last.
    pub(crate) list: Vec<MorningItem>,
    pub(crate) knowledge: Knowledge,
}

/// A dish on the plan of the yard.
#[derive(Clone, Debug, PartialEq, Serialize, TS)]
pub(crate) struct YardDish {
    pub(crate) position: String,
    /// With its check letter, as on the dish.
    pub(crate) label: String,
    pub(crate) phrase: String,
    /// The face, medium cut.
    pub(crate) face_svg: String,
    /// Metres east of the plan's origin.
    pub(crate) east: f64,
    /// Metres north of it.
    pub(crate) north: f64,
}

/// A line of the morning list.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct MorningItem {
    pub(crate) position: String,
    pub(crate) subject: String,
    pub(crate) reason: String,
    pub(crate) verb: String,
    /// The face, small cut.
    pub(crate) face_svg: String,
    pub(crate) target: Target,
    /// True for what only waits for a signature.
    pub(crate) ready: bool,
}

impl Eye<'_> {
    /// The yard with the morning list.
    pub(crate) fn yard(&self) -> Result<YardView> {
        let mut dishes = Vec::new();
        let mut ranked: Vec<(Rank, MorningItem)> = Vec::new();
        for dish in self.dishes()? {
            let records = self.records(&dish)?;
            let locks = self.locks_short(&dish, &records)?.known;
            let (shown, face_svg) = self.face(&dish, locks, Cut::Medium)?;
            let (_, small) = self.face(&dish, locks, Cut::Small)?;
            let lines = self.morning(&dish, &records)?;
            let (east, north) = self.place(&dish.position);
            dishes.push(YardDish {
                position: dish.position.clone(),
                label: label(&dish),
                phrase: phrase(&lines, &shown),
                face_svg,
                east,
                north,
            });
            ranked.extend(lines.into_iter().map(|line| {
                let item = MorningItem {
                    position: dish.position.clone(),
                    subject: line.subject,
                    reason: line.reason,
                    verb: line.verb.to_owned(),
                    face_svg: small.clone(),
                    target: line.target,
                    ready: line.rank >= Rank::Review,
                };
                (line.rank, item)
            }));
        }
        // Stable: dishes stay in the order of their codes within one rank.
        ranked.sort_by_key(|(rank, _)| *rank);
        Ok(YardView {
            site: self.site.name.clone(),
            day: self.zone.day(&self.source.now.at()),
            dishes,
            list: ranked.into_iter().map(|(_, item)| item).collect(),
            knowledge: self.knowledge()?,
        })
    }

    /// Where a dish stands, in metres; 0 where the site's description does not say.
    fn place(&self, position: &str) -> (f64, f64) {
        let metres = |text: &str| {
            quantity::parse(text, &Field::of(Dimension::Length))
                .ok()
                .and_then(|length| length.base().to_string().parse().ok())
                .unwrap_or(0.0)
        };
        let described = self.site.described.as_ref();
        described
            .and_then(|described| described.site.plan.iter().find(|at| at.position == position))
            .map_or((0.0, 0.0), |at| (metres(&at.east), metres(&at.north)))
    }
}

/// The most pressing thing about a dish in a few words, else what it owes.
fn phrase(lines: &[Line], shown: &[model::Proof]) -> String {
    if let Some(line) = lines.iter().min_by_key(|line| line.rank) {
        return line.phrase.clone();
    }
    match owed(shown) {
        0 => "owes nothing".to_owned(),
        owes => format!("owes {owes} of {}", shown.len()),
    }
}

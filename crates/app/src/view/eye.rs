//! What every screen is built from: the documents, the site's zone, and who looks.

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};
use ledger::{ChainId, Entry, Subject};
use logbook::document::{PositionDoc, RecordDoc, SiteDoc, StatusDoc};
use logbook::source::Requirement;
use logbook::{Key, Shelf};
use report::figure::Cut;
use report::model;

use super::common::{Knowledge, Moment};
use super::zone::Zone;
use crate::error::Result;
use crate::handover::Source;
use crate::logbook::Logbook;
use crate::words;

/// Knowledge of another tablet older than so many hours is stale.
const STALE_HOURS: i64 = 24;

/// A look into an open logbook.
pub(crate) struct Eye<'a> {
    pub(crate) logbook: &'a Logbook,
    pub(crate) source: Source<'a>,
    pub(crate) site: SiteDoc,
    pub(crate) zone: Zone,
    /// The requirements of a dish, in the order of the ring.
    pub(crate) ring: Vec<Requirement>,
}

impl<'a> Eye<'a> {
    pub(crate) fn new(logbook: &'a Logbook, shelf: &'a dyn Shelf) -> Result<Self> {
        let nobody = logbook.new_subject()?;
        let source = logbook.source(shelf, &nobody)?;
        let site = source.site_document()?;
        let zone = Zone::of(Some(&site), *logbook.clock.read().wall.offset());
        let ring = source.requirements()?;
        Ok(Self { logbook, source, site, zone, ring })
    }

    pub(crate) fn moment(&self, claimed: &logbook::Moment) -> Moment {
        self.zone.claimed(claimed)
    }

    /// "Fri 28 Aug 07:31" on the site's clock.
    pub(crate) fn when(&self, claimed: &logbook::Moment) -> String {
        let moment = self.moment(claimed);
        format!("{} {}", moment.day, moment.clock)
    }

    /// "T1-0371": the name of an entry that people can read out; of another chain's, by that chain.
    pub(crate) fn entry_name(&self, chain: &ChainId, number: u64) -> String {
        if *chain == self.source.chain {
            return words::entry_name(&self.site.installation, number);
        }
        words::entry_name(&chain.short().to_string(), number)
    }

    /// Every dish of the site, in the order of their codes.
    pub(crate) fn dishes(&self) -> Result<Vec<PositionDoc>> {
        let mut dishes: Vec<PositionDoc> = Vec::new();
        for key in self.source.shelf.keys("position/")? {
            dishes.extend(self.source.document::<PositionDoc>(&key)?);
        }
        Ok(dishes)
    }

    /// A dish by what was typed, with or without its check letter.
    pub(crate) fn dish(&self, typed: &str) -> Result<PositionDoc> {
        self.logbook.position(typed)
    }

    /// The records of a dish by their subject.
    pub(crate) fn records(&self, dish: &PositionDoc) -> Result<BTreeMap<Subject, RecordDoc>> {
        dish.records
            .iter()
            .map(|record| Ok((record.record.clone(), self.source.record(&record.record)?)))
            .collect()
    }

    /// The short name of a requirement in the ring; of one that is none, its id.
    pub(crate) fn short<'r>(&'r self, requirement: &'r str) -> &'r str {
        let found = self.ring.iter().find(|one| one.id == requirement);
        found.map_or(requirement, Requirement::short)
    }

    /// How old what is shown is, and from whom nothing was heard.
    pub(crate) fn knowledge(&self) -> Result<Knowledge> {
        let status: StatusDoc = self.source.document(&Key::status())?.unwrap_or_default();
        let others = status.chains.iter().filter(|(chain, _)| **chain != self.source.chain);
        let oldest = others.min_by_key(|(_, heard)| heard.claimed.at());
        let (oldest, stale) = match oldest {
            None => ("no other tablet heard from yet".to_owned(), false),
            Some((chain, heard)) => {
                let hours = self.source.now.seconds_since(&heard.claimed) / 3600;
                let age = match hours {
                    ..48 => format!("{hours} h"),
                    more => format!("{} d", more / 24),
                };
                (format!("not heard from chain {} for {age}", chain.short()), hours >= STALE_HOURS)
            }
        };
        Ok(Knowledge { title: "As known to this tablet".to_owned(), oldest, stale })
    }

    /// The face of a dish as SVG, with the proofs on it. `locks` are the lockouts known to be open.
    pub(crate) fn face(
        &self,
        dish: &PositionDoc,
        locks: u32,
        cut: Cut,
    ) -> Result<(Vec<model::Proof>, String)> {
        let proofs = self.source.proof_lines(dish)?;
        let as_known = format!("As known to this tablet at {}.", self.when(&self.source.now));
        let face = model::Face { locks, ..self.source.face(dish, &as_known)? };
        let svg = report::figure::dish_face(&dish.position, &proofs, &face, cut).to_svg();
        Ok((proofs, svg))
    }

    /// What an entry claims as its time; the beginning of the epoch for a claim that can't be read.
    pub(crate) fn claimed(&self, entry: &Entry) -> DateTime<FixedOffset> {
        DateTime::parse_from_rfc3339(entry.header().claimed())
            .unwrap_or_else(|_| DateTime::UNIX_EPOCH.fixed_offset())
    }
}

/// The code with its check letter, as on the label of the dish.
pub(crate) fn label(dish: &PositionDoc) -> String {
    format!("{}-{}", dish.position, dish.check_letter)
}

/// A count that fits a whole number of the screens.
pub(crate) fn count(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

/// A text with a capital at its beginning.
pub(crate) fn capital(text: &str) -> String {
    let mut signs = text.chars();
    signs.next().map_or_else(String::new, |first| first.to_uppercase().chain(signs).collect())
}

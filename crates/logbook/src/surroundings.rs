//! What surrounds a record when it is filled and judged: the site as described, and the design of
//! the dish.

use crate::document::{AdoptedDoc, Described, RecordDoc, SiteDoc, VerdictDoc};
use crate::events::SourceRevision;
use crate::refusal::Refusal;
use crate::shelf::{Key, Shelf, ShelfError, read};
use crate::source::{DESIGN_FACETS, DishDesign, SurveyAsked};

/// The site and the dish design that a record is judged by.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Surroundings {
    /// The site as described.
    pub site: Option<Described>,
    /// The dish design, with its revision.
    pub design: Option<(SourceRevision, DishDesign)>,
}

impl Surroundings {
    /// What surrounds an attempt now: the latest description of the site, and the design that was
    /// adopted when the attempt began.
    ///
    /// # Errors
    /// Faults of the shelf.
    pub fn of(shelf: &dyn Shelf, record: &RecordDoc, attempt: u32) -> Result<Self, ShelfError> {
        let site: Option<SiteDoc> = read(shelf, &Key::site())?;
        let named = record.attempt(attempt).and_then(|attempt| attempt.design.as_ref());
        Ok(Self { site: site.and_then(|site| site.described), design: design(shelf, named)? })
    }

    /// What an earlier verdict was reached with, so that it can be reached again.
    ///
    /// # Errors
    /// Faults of the shelf.
    pub fn of_verdict(shelf: &dyn Shelf, verdict: &VerdictDoc) -> Result<Self, ShelfError> {
        let site: Option<SiteDoc> = read(shelf, &Key::site())?;
        let named = verdict.site.as_ref();
        Ok(Self {
            site: named.zip(site).and_then(|(entry, site)| site.description(entry).cloned()),
            design: design(shelf, verdict.design.as_ref())?,
        })
    }

    /// The lines that a survey goes through, in their order.
    ///
    /// # Errors
    /// A list that the position does not have, or a design that is not adopted.
    pub fn lines(&self, record: &RecordDoc, asked: &SurveyAsked) -> Result<Vec<String>, Refusal> {
        if asked.list == DESIGN_FACETS {
            return match &self.design {
                Some((_, design)) => Ok(design.facet_ids()),
                None => Err(Refusal::new(
                    "no_dish_design",
                    format!(
                        "No design of the type of {} was adopted when this attempt began, so its \
                         facets are not known.",
                        record.position
                    ),
                    "Adopt the dish design, then start another attempt.",
                )),
            };
        }
        record.lists.get(&asked.list).cloned().ok_or_else(|| {
            Refusal::new(
                "no_such_list",
                format!("{} has no list of {}.", record.position, asked.list),
                "Register the position with that list, or adopt a checklist that names another.",
            )
        })
    }
}

fn design(
    shelf: &dyn Shelf,
    named: Option<&SourceRevision>,
) -> Result<Option<(SourceRevision, DishDesign)>, ShelfError> {
    let Some(named) = named else { return Ok(None) };
    let key = Key::dish_design(&named.id, &named.revision);
    let adopted: Option<AdoptedDoc<DishDesign>> = read(shelf, &key)?;
    Ok(adopted
        .filter(|adopted| adopted.hash == named.hash)
        .map(|adopted| (named.clone(), adopted.read)))
}

//! Founding, description and adoption.

use std::collections::BTreeMap;

use ledger::Digest;
use serde::Serialize;

use super::{Fault, Fold, misplaced};
use crate::document::{Adopted, AdoptedDoc, Described, SiteDoc};
use crate::events::{
    ChecklistAdopted, CriteriaAdopted, DishDesignAdopted, RetestRulesAdopted, SiteDescribed,
};
use crate::rules;
use crate::shelf::{Key, read, write};
use crate::source::{Checklist, Criteria, DishDesign, RetestRules, content_hash};

/// What was adopted, apart from what the file says.
struct Claim {
    id: String,
    revision: String,
    hash: Digest,
    content: String,
}

impl Fold<'_> {
    /// The ledger's own kinds: the founding gives the site its document, the others no document.
    pub(super) fn own(&mut self, kind: &str, payload: &[u8]) -> Result<(), Fault> {
        if kind != ledger::kinds::FOUND {
            return Ok(());
        }
        let found: ledger::kinds::Found = match ledger::canonical::from_bytes(payload) {
            Ok(found) => found,
            Err(error) => return misplaced(format!("the founding can't be read: {error}")),
        };
        if read::<SiteDoc>(self.shelf, &Key::site())?.is_some() {
            return misplaced("the site was founded before it");
        }
        let site = SiteDoc {
            site: *self.header.site(),
            name: found.site_name,
            installation: found.installation_name,
            founded: self.stamp.clone(),
            checklists: BTreeMap::new(),
            criteria: BTreeMap::new(),
            retest_rules: BTreeMap::new(),
            dish_designs: BTreeMap::new(),
            described: None,
            described_before: Vec::new(),
        };
        Ok(write(self.shelf, &Key::site(), &site)?)
    }

    pub(super) fn checklist_adopted(&mut self, event: ChecklistAdopted) -> Result<(), Fault> {
        let ChecklistAdopted { id, revision, hash, content } = event;
        let claim = Claim { id, revision, hash, content };
        let read = Checklist::parse(&claim.id, &claim.content);
        let read = self.adoptable(&claim, read, |file| (&file.id, &file.revision))?;
        let key = Key::checklist(&claim.id, &claim.revision);
        let named = (read.title.clone(), Some(read.proves.clone()));
        self.adopt(&key, claim, (read, named), |site| &mut site.checklists)
    }

    pub(super) fn criteria_adopted(&mut self, event: CriteriaAdopted) -> Result<(), Fault> {
        let CriteriaAdopted { id, revision, hash, content } = event;
        let claim = Claim { id, revision, hash, content };
        let read = Criteria::parse(&claim.id, &claim.content);
        let read = self.adoptable(&claim, read, |file| (&file.id, &file.revision))?;
        let key = Key::criteria(&claim.id, &claim.revision);
        let named = (read.title.clone(), None);
        self.adopt(&key, claim, (read, named), |site| &mut site.criteria)
    }

    pub(super) fn retest_rules_adopted(&mut self, event: RetestRulesAdopted) -> Result<(), Fault> {
        let RetestRulesAdopted { id, revision, hash, content } = event;
        let claim = Claim { id, revision, hash, content };
        let read = RetestRules::parse(&claim.id, &claim.content);
        let read = self.adoptable(&claim, read, |file| (&file.id, &file.revision))?;
        let key = Key::retest_rules(&claim.id, &claim.revision);
        let named = (read.title.clone(), None);
        self.adopt(&key, claim, (read, named), |site| &mut site.retest_rules)
    }

    pub(super) fn dish_design_adopted(&mut self, event: DishDesignAdopted) -> Result<(), Fault> {
        let DishDesignAdopted { id, revision, hash, content } = event;
        let claim = Claim { id, revision, hash, content };
        let read = DishDesign::parse(&claim.id, &claim.content);
        let read = self.adoptable(&claim, read, |file| (&file.id, &file.revision))?;
        let key = Key::dish_design(&claim.id, &claim.revision);
        let named = (read.title.clone(), None);
        self.adopt(&key, claim, (read, named), |site| &mut site.dish_designs)
    }

    pub(super) fn site_described(&mut self, event: SiteDescribed) -> Result<(), Fault> {
        if let Err(refusal) = rules::site_description(&event) {
            return misplaced(refusal.sentence);
        }
        let Some(mut site) = read::<SiteDoc>(self.shelf, &Key::site())? else {
            return misplaced("the site was not founded before it");
        };
        let described = Described { site: event, by: self.stamp.clone() };
        site.described_before.extend(site.described.replace(described));
        Ok(write(self.shelf, &Key::site(), &site)?)
    }

    /// The file as read, where it is what the entry claims.
    fn adoptable<T>(
        &self,
        claim: &Claim,
        read: Result<T, crate::source::Problems>,
        named: impl Fn(&T) -> (&String, &String),
    ) -> Result<T, Fault> {
        if content_hash(&claim.content) != claim.hash {
            return misplaced("the hash that it names is not that of its content");
        }
        let read = match read {
            Ok(read) => read,
            Err(problems) => {
                return misplaced(format!("the adopted file has problems: {problems}"));
            }
        };
        if named(&read) != (&claim.id, &claim.revision) {
            return misplaced("id or revision differ from those in the adopted file");
        }
        Ok(read)
    }

    fn adopt<T: Serialize>(
        &mut self,
        key: &Key,
        claim: Claim,
        (file, (title, proves)): (T, (String, Option<String>)),
        list: impl Fn(&mut SiteDoc) -> &mut BTreeMap<String, Adopted>,
    ) -> Result<(), Fault> {
        let Some(mut site) = read::<SiteDoc>(self.shelf, &Key::site())? else {
            return misplaced("the site was not founded before it");
        };
        if self.shelf.get(key)?.is_some() {
            return misplaced(format!(
                "revision {} of `{}` was adopted before it; a change needs a new revision label",
                claim.revision, claim.id
            ));
        }
        let adopted = Adopted {
            revision: claim.revision,
            hash: claim.hash,
            title,
            proves,
            by: self.stamp.clone(),
        };
        list(&mut site).insert(claim.id, adopted);
        let document = AdoptedDoc { hash: claim.hash, read: file, by: self.stamp.clone() };
        write(self.shelf, key, &document)?;
        Ok(write(self.shelf, &Key::site(), &site)?)
    }
}

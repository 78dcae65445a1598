//! Which chains stand: the founding one, and those that an admitting one admitted.

use std::collections::{BTreeMap, BTreeSet};

use crate::kinds::{self, ADMIT, Admit, FOUND, Found, Right};
use crate::{ChainId, Entry, EntryId, SiteId, canonical};

/// How a chain came to stand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Standing {
    /// The entry that let it stand.
    pub by: EntryId,
    /// What it may do.
    pub right: Right,
}

/// Why an entry of the ledger's own kinds has no effect.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum TrustFault {
    /// The payload is not in its form.
    #[error("the entry of kind {kind} is not in its form: {reason}")]
    Form {
        /// The kind.
        kind: String,
        /// What is wrong.
        reason: String,
    },
    /// A founding that isn't number 1, or of another site, or without the authority's signature.
    #[error("the founding does not hold: {0}")]
    Founding(&'static str),
    /// Admitted by a chain that may not.
    #[error("the chain that admits may not admit others")]
    MayNot,
    /// The key is not that of the chain.
    #[error("the admitted chain is not named after its key")]
    KeyMismatch,
    /// A kind that this version reserves and doesn't carry out.
    #[error("the kind {0} needs a newer version of this program")]
    Newer(String),
}

/// Which chains stand, as far as the entries taken into account say. An admission counts from the
/// moment that its own chain stands, so entries are taken in an order in which each comes after
/// what it had seen.
#[derive(Clone, Debug, Default)]
pub struct Trust {
    site: Option<SiteId>,
    standing: BTreeMap<ChainId, Standing>,
    founding: BTreeSet<ChainId>,
}

impl Trust {
    /// Knows nothing yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// The site that was founded.
    pub fn site(&self) -> Option<&SiteId> {
        self.site.as_ref()
    }

    /// How a chain stands; none for one that nobody admitted.
    pub fn standing(&self, chain: &ChainId) -> Option<&Standing> {
        self.standing.get(chain)
    }

    /// Takes a verified entry into account; other kinds than the ledger's own change nothing.
    ///
    /// # Errors
    /// [`TrustFault`]: the entry is kept by whoever holds it and has no effect here.
    pub fn follow(&mut self, entry: &Entry) -> Result<(), TrustFault> {
        match (entry.header().kind(), entry.header().kind_version()) {
            (FOUND, 1) => self.found(entry),
            (ADMIT, 1) => self.admit(entry),
            (kinds::ACKNOWLEDGE, 1) => payload::<kinds::Acknowledge>(entry).map(|_| ()),
            (kind, _) if kinds::OWN.contains(&kind) => Err(TrustFault::Newer(kind.to_owned())),
            _ => Ok(()),
        }
    }

    fn found(&mut self, entry: &Entry) -> Result<(), TrustFault> {
        let header = entry.header();
        let found: Found = payload(entry)?;
        let Some(chain_key) = header.chain_key() else {
            return Err(TrustFault::Founding("it is not number 1 of its chain"));
        };
        if SiteId::of(&found.authority_key.to_der()) != *header.site() {
            return Err(TrustFault::Founding("the site is not named after the authority's key"));
        }
        if !found.is_signed_for(chain_key) {
            return Err(TrustFault::Founding("the authority's signature does not hold"));
        }
        if self.site.is_some_and(|site| site != *header.site()) {
            return Err(TrustFault::Founding("another site was founded here before"));
        }
        self.site = Some(*header.site());
        let standing = Standing { by: *entry.id(), right: Right::Admit };
        self.standing.insert(*header.chain(), standing);
        self.founding.insert(*header.chain());
        Ok(())
    }

    fn admit(&mut self, entry: &Entry) -> Result<(), TrustFault> {
        let admit: Admit = payload(entry)?;
        let header = entry.header();
        let may = self.site == Some(*header.site())
            && self.standing(header.chain()).is_some_and(|s| s.right == Right::Admit);
        if !may {
            return Err(TrustFault::MayNot);
        }
        if ChainId::of(&admit.chain_key.to_der()) != admit.chain {
            return Err(TrustFault::KeyMismatch);
        }
        let standing = Standing { by: *entry.id(), right: admit.right };
        let known = self.standing.entry(admit.chain).or_insert(standing);
        // Admissions add up, in whichever order they arrive: the wider right, then the smaller id.
        let wider = (admit.right, std::cmp::Reverse(standing.by))
            > (known.right, std::cmp::Reverse(known.by));
        if wider && !self.founding.contains(&admit.chain) {
            *known = standing;
        }
        Ok(())
    }
}

fn payload<T: serde::de::DeserializeOwned>(entry: &Entry) -> Result<T, TrustFault> {
    let fault =
        |reason: String| TrustFault::Form { kind: entry.header().kind().to_owned(), reason };
    let bytes = entry.payload().ok_or_else(|| fault("its payload is absent".to_owned()))?;
    canonical::from_bytes(bytes).map_err(|e| fault(e.to_string()))
}

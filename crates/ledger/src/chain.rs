//! Verifying chains: every entry in order, every fault collected, none of them the last.

use std::collections::BTreeMap;

use crate::entry::{Entry, EntryFault};
use crate::fork::ForkProof;
use crate::header::Header;
use crate::{ChainId, EntryId, Frontier, Head, PublicKey, SiteId};

/// What is wrong with an entry, or between two.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ChainFault {
    /// The entry doesn't hold by itself.
    #[error("entry {number} of chain {chain}: {fault}")]
    Entry {
        /// Which chain, as far as its header can be read.
        chain: String,
        /// Which number, as far as its header can be read.
        number: u64,
        /// What is wrong.
        fault: EntryFault,
    },
    /// The chain's number 1 hasn't been seen, so its key isn't known.
    #[error(
        "entry {number} of chain {chain}: the chain's number 1, which carries its key, is not here"
    )]
    NoKey {
        /// The chain.
        chain: ChainId,
        /// The number.
        number: u64,
    },
    /// An entry of another site.
    #[error("entry {number} of chain {chain} belongs to another site, {site}")]
    OtherSite {
        /// The chain.
        chain: ChainId,
        /// The number.
        number: u64,
        /// The other site.
        site: SiteId,
    },
    /// Numbers are missing in between.
    #[error("chain {chain}: numbers {from} to {to} are missing")]
    Gap {
        /// The chain.
        chain: ChainId,
        /// The first missing.
        from: u64,
        /// The last missing.
        to: u64,
    },
    /// The entry doesn't follow the one before it.
    #[error(
        "entry {number} of chain {chain} names {named} as the entry before it; that is {before}"
    )]
    Broken {
        /// The chain.
        chain: ChainId,
        /// The number.
        number: u64,
        /// What it names.
        named: String,
        /// What stands there.
        before: EntryId,
    },
    /// The same place holds two entries.
    #[error("chain {chain} was forked at number {number}")]
    Fork {
        /// The chain.
        chain: ChainId,
        /// The number.
        number: u64,
        /// Both sides.
        proof: Box<ForkProof>,
    },
    /// A number at or below one that came before.
    #[error("entry {number} of chain {chain} comes after number {after}")]
    Order {
        /// The chain.
        chain: ChainId,
        /// Its number.
        number: u64,
        /// The number before it.
        after: u64,
    },
}

struct Progress {
    key: PublicKey,
    last: Entry,
}

/// Verifies entries as they are fed, each chain in the order of its numbers.
#[derive(Default)]
pub struct ChainVerifier {
    site: Option<SiteId>,
    chains: BTreeMap<ChainId, Progress>,
    frontier: Frontier,
    entries: u64,
    faults: Vec<ChainFault>,
}

impl ChainVerifier {
    /// Verifies entries of whichever site the first one names.
    pub fn new() -> Self {
        Self::default()
    }

    /// Verifies entries of one site.
    pub fn of_site(site: SiteId) -> Self {
        Self { site: Some(site), ..Self::default() }
    }

    /// Takes the next entry; gives it when it holds by itself, also where the chain around it
    /// does not.
    pub fn feed(
        &mut self,
        header_bytes: &[u8],
        payload: Option<&[u8]>,
        signature: &[u8],
    ) -> Option<Entry> {
        self.entries += 1;
        let header = match Header::parse(header_bytes) {
            Ok(header) => header,
            Err(fault) => {
                return self.fault_of(String::from("unknown"), self.entries, fault.into());
            }
        };
        let (chain, number) = (*header.chain(), header.number());
        let key = match (header.chain_key(), self.chains.get(&chain)) {
            (Some(key), _) => *key,
            (None, Some(progress)) => progress.key,
            (None, None) => {
                self.faults.push(ChainFault::NoKey { chain, number });
                return None;
            }
        };
        match Entry::verify(header_bytes, payload, signature, &key) {
            Ok(entry) => {
                self.place(&entry, key);
                Some(entry)
            }
            Err(fault) => self.fault_of(chain.to_string(), number, fault),
        }
    }

    fn fault_of(&mut self, chain: String, number: u64, fault: EntryFault) -> Option<Entry> {
        self.faults.push(ChainFault::Entry { chain, number, fault });
        None
    }

    fn place(&mut self, entry: &Entry, key: PublicKey) {
        let header = entry.header();
        let (chain, number) = (*header.chain(), header.number());
        let site = *self.site.get_or_insert(*header.site());
        if site != *header.site() {
            let fault = ChainFault::OtherSite { chain, number, site: *header.site() };
            return self.faults.push(fault);
        }
        if !self.follows(entry, &key) {
            return;
        }
        self.frontier.extend(chain, header.previous().copied(), Head { number, id: *entry.id() });
        self.chains.insert(chain, Progress { key, last: entry.clone() });
    }

    /// Whether the entry moves its chain on; every fault is noted.
    fn follows(&mut self, entry: &Entry, key: &PublicKey) -> bool {
        let header = entry.header();
        let (chain, number) = (*header.chain(), header.number());
        let Some(progress) = self.chains.get(&chain) else { return true };
        let before = &progress.last;
        let after = before.header().number();
        if entry.id() == before.id() {
            return false;
        }
        if number <= after {
            let fault = match ForkProof::new(before, entry, key) {
                Ok(proof) => ChainFault::Fork { chain, number, proof: Box::new(proof) },
                Err(_) => ChainFault::Order { chain, number, after },
            };
            if matches!(fault, ChainFault::Fork { .. }) {
                let previous = header.previous().copied();
                self.frontier.extend(chain, previous, Head { number, id: *entry.id() });
            }
            self.faults.push(fault);
            return false;
        }
        if number > after + 1 {
            self.faults.push(ChainFault::Gap { chain, from: after + 1, to: number - 1 });
        } else if header.previous() != Some(before.id()) {
            let named = header.previous().map(ToString::to_string).unwrap_or_default();
            self.faults.push(ChainFault::Broken { chain, number, named, before: *before.id() });
        }
        true
    }

    /// Entries fed so far.
    pub fn entries(&self) -> u64 {
        self.entries
    }

    /// The heads reached.
    pub fn frontier(&self) -> &Frontier {
        &self.frontier
    }

    /// The site of the entries.
    pub fn site(&self) -> Option<&SiteId> {
        self.site.as_ref()
    }

    /// Every fault found so far, in the order met.
    pub fn faults(&self) -> &[ChainFault] {
        &self.faults
    }
}

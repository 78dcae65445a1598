//! Verifying chains: every entry in order, every fault collected, none of them the last.

use std::collections::BTreeMap;

use crate::entry::{Entry, EntryFault};
use crate::fork::ForkProof;
use crate::header::Header;
use crate::{ChainId, EntryId, Frontier, Head, PublicKey, SiteId};

fn missing(from: u64, to: u64) -> String {
    match to.saturating_sub(from) {
        0 => format!("number {from} is missing"),
        _ => format!("numbers {from} to {to} are missing"),
    }
}

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
    #[error("chain {chain}: {}", missing(*from, *to))]
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

/// How far a chain was walked.
#[derive(Default)]
struct Progress {
    /// The number reached; 0 before the first.
    number: u64,
    /// The entries at that number, without payloads: more than one after a fork.
    at: Vec<Entry>,
    /// The entries at the number before; none where that number is missing.
    below: Vec<EntryId>,
    /// Whether something is missing or broken further down.
    broken: bool,
}

/// Verifies entries as they are fed, each chain in the order of its numbers. It holds the last
/// place of each chain, not the chains.
#[derive(Default)]
pub struct ChainVerifier {
    site: Option<SiteId>,
    keys: BTreeMap<ChainId, PublicKey>,
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
                self.fault_of(String::from("unknown"), self.entries, fault.into());
                return None;
            }
        };
        let (chain, number) = (*header.chain(), header.number());
        if let Some(key) = header.chain_key() {
            // The chain's name is the key's hash, so the key is right whatever else is wrong.
            self.keys.insert(chain, *key);
        }
        let Some(key) = self.keys.get(&chain).copied() else {
            self.faults.push(ChainFault::NoKey { chain, number });
            return None;
        };
        let mut read = Entry::verify(header_bytes, payload, signature, &key);
        let changed =
            matches!(read, Err(EntryFault::Payload { .. } | EntryFault::PayloadLength { .. }));
        if let (true, Err(fault)) = (changed, &read) {
            // The place in the chain hangs on the header alone: what follows isn't to blame.
            self.fault_of(chain.to_string(), number, fault.clone());
            read = Entry::verify(header_bytes, None, signature, &key);
        }
        match read {
            Ok(entry) => {
                self.place(entry.without_payload(), &key);
                (!changed).then_some(entry)
            }
            Err(fault) => {
                self.fault_of(chain.to_string(), number, fault);
                None
            }
        }
    }

    fn fault_of(&mut self, chain: String, number: u64, fault: EntryFault) {
        self.faults.push(ChainFault::Entry { chain, number, fault });
    }

    /// Puts the entry on its place; every fault is noted.
    fn place(&mut self, entry: Entry, key: &PublicKey) {
        let header = entry.header();
        let (chain, number) = (*header.chain(), header.number());
        let (previous, head) = (header.previous().copied(), Head { number, id: *entry.id() });
        let site = *self.site.get_or_insert(*header.site());
        if site != *header.site() {
            let fault = ChainFault::OtherSite { chain, number, site: *header.site() };
            return self.faults.push(fault);
        }
        let progress = self.chains.entry(chain).or_default();
        let after = progress.number;
        if progress.at.iter().any(|known| known.id() == entry.id()) {
            return;
        }
        if number < after {
            return self.faults.push(ChainFault::Order { chain, number, after });
        }
        let forked = number == after;
        if !forked {
            let missing = number > after + 1;
            if missing {
                self.faults.push(ChainFault::Gap { chain, from: after + 1, to: number - 1 });
            }
            let before = std::mem::take(&mut progress.at);
            progress.below = before.iter().filter(|_| !missing).map(|entry| *entry.id()).collect();
            progress.broken |= missing;
            progress.number = number;
        }
        let follows =
            progress.below.is_empty() || previous.is_some_and(|p| progress.below.contains(&p));
        if let (false, Some(before)) = (follows, progress.below.first().copied()) {
            let named = previous.map(|id| id.to_string()).unwrap_or_default();
            self.faults.push(ChainFault::Broken { chain, number, named, before });
            progress.broken |= !forked;
        }
        if let Some(Ok(proof)) = progress.at.first().map(|one| ForkProof::new(one, &entry, key)) {
            self.faults.push(ChainFault::Fork { chain, number, proof: Box::new(proof) });
        }
        progress.at.push(entry);
        if follows && !progress.broken {
            self.frontier.extend(chain, previous, head);
        }
    }

    /// Entries fed so far.
    pub fn entries(&self) -> u64 {
        self.entries
    }

    /// The heads reached without anything missing or broken on the way.
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

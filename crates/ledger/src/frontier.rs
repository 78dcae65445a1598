//! What is known of each chain: heads, and sets of heads.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};

use crate::{ChainId, EntryId};

/// The newest entry of a chain that somebody knows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Head {
    /// Its number, from 1.
    pub number: u64,
    /// The entry.
    pub id: EntryId,
}

/// A head together with its chain, as headers and payloads write it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HeadSeen {
    /// The chain.
    pub chain: ChainId,
    /// The entry's number.
    pub number: u64,
    /// The entry.
    pub id: EntryId,
}

/// The heads of every chain that is known. A chain that was forked has more than one head; both
/// are kept, and nobody picks.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Frontier(BTreeMap<ChainId, BTreeSet<Head>>);

impl Frontier {
    /// Knows nothing yet.
    pub fn new() -> Self {
        Self::default()
    }

    /// Takes an entry into account that extends `previous`, or begins a chain or a branch.
    pub fn extend(&mut self, chain: ChainId, previous: Option<EntryId>, head: Head) {
        let heads = self.0.entry(chain).or_default();
        heads.retain(|known| Some(known.id) != previous);
        heads.insert(head);
    }

    /// The heads of one chain; more than one after a fork.
    pub fn heads(&self, chain: &ChainId) -> impl Iterator<Item = &Head> {
        self.0.get(chain).into_iter().flatten()
    }

    /// Every head with its chain, in the order that headers use.
    pub fn iter(&self) -> impl Iterator<Item = HeadSeen> + '_ {
        self.0.iter().flat_map(|(chain, heads)| {
            heads.iter().map(|head| HeadSeen { chain: *chain, number: head.number, id: head.id })
        })
    }

    /// Chains with more than one head.
    pub fn forked(&self) -> impl Iterator<Item = &ChainId> {
        self.0.iter().filter(|(_, heads)| heads.len() > 1).map(|(chain, _)| chain)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_extension_moves_a_head_and_a_branch_adds_one() {
        let chain = ChainId::of(b"chain");
        let head = |number, name: &[u8]| Head { number, id: EntryId::of(name) };
        let mut frontier = Frontier::new();
        frontier.extend(chain, None, head(1, b"1"));
        frontier.extend(chain, Some(EntryId::of(b"1")), head(2, b"2a"));
        assert_eq!(frontier.heads(&chain).copied().collect::<Vec<_>>(), [head(2, b"2a")]);
        assert_eq!(frontier.forked().count(), 0);
        frontier.extend(chain, Some(EntryId::of(b"1")), head(2, b"2b"));
        assert_eq!(frontier.heads(&chain).count(), 2);
        assert_eq!(frontier.forked().collect::<Vec<_>>(), [&chain]);
    }
}

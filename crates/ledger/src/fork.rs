//! Proof that a chain was forked: two entries of its key on one place.

use serde::{Deserialize, Serialize};

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;

use crate::entry::{Entry, EntryFault};
use crate::{ChainId, PublicKey};

/// Two signed headers of one chain with the same number and other bytes. Anyone who has the
/// chain's key can check it; nobody needs the payloads.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct ForkProof {
    /// The chain's key.
    pub chain_key: PublicKey,
    /// One side, the one with the smaller id.
    pub one: SignedHeader,
    /// The other side.
    pub other: SignedHeader,
}

/// A header with its signature.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SignedHeader {
    /// The header's text.
    pub header: String,
    /// The chain's signature, base64 of DER.
    pub signature: String,
}

/// Why a proof proves nothing.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoFork {
    /// One of the two is not an entry of that chain.
    #[error("one of the two is not an entry of the chain: {0}")]
    Side(EntryFault),
    /// The two have other numbers or are the same.
    #[error("the two entries do not stand on the same place with other bytes")]
    NoClash,
}

impl ForkProof {
    /// Puts two entries side by side; the result is the same whichever comes first.
    ///
    /// # Errors
    /// [`NoFork`]: the two prove nothing.
    pub fn new(a: &Entry, b: &Entry, chain_key: &PublicKey) -> Result<Self, NoFork> {
        let side = |entry: &Entry| SignedHeader {
            header: String::from_utf8_lossy(entry.header_bytes()).into_owned(),
            signature: BASE64.encode(entry.signature()),
        };
        let (one, other) = if a.id() <= b.id() { (a, b) } else { (b, a) };
        let proof = Self { chain_key: *chain_key, one: side(one), other: side(other) };
        proof.verify().map(|_| proof)
    }

    /// Verifies both sides and that they clash; gives the chain and the number.
    ///
    /// # Errors
    /// [`NoFork`]: the two prove nothing.
    pub fn verify(&self) -> Result<(ChainId, u64), NoFork> {
        let read = |side: &SignedHeader| {
            let signature = BASE64.decode(&side.signature).unwrap_or_default();
            Entry::verify(side.header.as_bytes(), None, &signature, &self.chain_key)
                .map_err(NoFork::Side)
        };
        let (one, other) = (read(&self.one)?, read(&self.other)?);
        let clash = one.header().number() == other.header().number() && one.id() != other.id();
        if clash {
            Ok((*one.header().chain(), one.header().number()))
        } else {
            Err(NoFork::NoClash)
        }
    }
}

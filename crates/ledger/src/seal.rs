//! Sealing: from a draft and its place in a chain to a signed entry.

use crate::bond::{Bond, BondRecord};
use crate::canonical::{self, CanonicalError};
use crate::entry::{Entry, EntryFault};
use crate::header::{FORMAT, Header, HeaderFault, Previous};
use crate::{
    AttachmentRef, ChainId, Digest, EntryId, HeadSeen, Kind, PersonId, SigningKey, SiteId, Subject,
};

/// Where in which chain an entry goes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The site.
    pub site: SiteId,
    /// The chain.
    pub chain: ChainId,
    /// The number, from 1.
    pub number: u64,
    /// The entry before; none for number 1.
    pub previous: Option<EntryId>,
    /// Heads of other chains seen since the entry before; sealing sorts them.
    pub heads: Vec<HeadSeen>,
}

/// What an entry says, before it has a place and a signature.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Draft {
    /// What the writer takes the time to be: RFC 3339 with offset.
    pub claimed: String,
    /// Who acts; empty when no person does.
    pub person: PersonId,
    /// The kind.
    pub kind: Kind,
    /// The version of the kind's payload.
    pub kind_version: u32,
    /// What it is about.
    pub subject: Subject,
    /// The payload: canonical JSON.
    pub payload: Vec<u8>,
    /// Files that belong to it.
    pub attachments: Vec<AttachmentRef>,
}

/// Why a draft can't be sealed.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SealError {
    /// The payload is not canonical.
    #[error("the payload can't be sealed: {0}")]
    Payload(CanonicalError),
    /// The header would break a rule.
    #[error(transparent)]
    Header(#[from] HeaderFault),
    /// The header can't be written.
    #[error("the header can't be written: {0}")]
    Write(#[from] CanonicalError),
    /// What was sealed doesn't verify: the key is not the chain's.
    #[error("the sealed entry does not verify: {0}")]
    Verify(#[from] EntryFault),
}

/// Seals a draft: the person's signature first, where the entry binds one, then the chain's.
///
/// # Errors
/// [`SealError`]; nothing was signed for anyone else to see.
pub fn seal(
    place: &Place,
    draft: Draft,
    chain_key: &SigningKey,
    bond: Option<&Bond<'_>>,
) -> Result<Entry, SealError> {
    canonical::parse(&draft.payload).map_err(SealError::Payload)?;
    let mut heads = place.heads.clone();
    heads.sort_unstable();
    heads.dedup();
    let mut header = Header {
        attachments: draft.attachments,
        bond: None,
        chain: place.chain,
        chain_key: (place.number == 1).then(|| chain_key.public()),
        claimed: draft.claimed,
        format: FORMAT,
        heads,
        kind: draft.kind,
        kind_version: draft.kind_version,
        number: place.number,
        payload_hash: Digest::of(&draft.payload),
        payload_length: draft.payload.len() as u64,
        person: draft.person,
        previous: Previous(place.previous),
        site: place.site,
        subject: draft.subject,
    };
    header.check()?;
    if let Some(bond) = bond {
        header.bond = Some(BondRecord::make(&header, bond)?);
    }
    let bytes = canonical::to_bytes(&header)?;
    let signature = chain_key.sign(&bytes);
    Ok(Entry::verify(&bytes, Some(&draft.payload), &signature, &chain_key.public())?)
}

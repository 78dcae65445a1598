//! The signature of a person in an entry that binds them.
//!
//! A chain's signature says which installation wrote; the bond says that this person meant it, in
//! this role, having seen this much. Its key opens only with the person's PIN.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use serde::{Deserialize, Serialize};

use crate::canonical::{self, CanonicalError};
use crate::header::{Header, Previous};
use crate::keys::KeyFault;
use crate::{
    AttachmentRef, ChainId, Digest, HeadSeen, Kind, PersonId, PublicKey, SigningKey, SiteId,
    Subject,
};

/// A person's key and role, ready to bind them to an entry.
#[derive(Clone, Debug)]
pub struct Bond<'a> {
    /// The key that the person's PIN opened.
    pub key: &'a SigningKey,
    /// The role in which they act.
    pub role: Kind,
}

/// The bond as it stands in a header.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BondRecord {
    key: PublicKey,
    role: Kind,
    signature: String,
}

/// Exactly what the person signs, in its canonical form.
#[derive(Serialize)]
struct Statement<'a> {
    attachments: &'a [AttachmentRef],
    chain: &'a ChainId,
    claimed: &'a str,
    format: u32,
    /// The heads newly seen; `previous` covers all that was seen before.
    frontier: &'a [HeadSeen],
    kind: &'a Kind,
    kind_version: u32,
    number: u64,
    payload_hash: &'a Digest,
    person: &'a PersonId,
    previous: Previous,
    role: &'a Kind,
    site: &'a SiteId,
    subject: &'a Subject,
}

fn statement(header: &Header, role: &Kind) -> Result<Vec<u8>, CanonicalError> {
    canonical::to_bytes(&Statement {
        attachments: &header.attachments,
        chain: &header.chain,
        claimed: &header.claimed,
        format: header.format,
        frontier: &header.heads,
        kind: &header.kind,
        kind_version: header.kind_version,
        number: header.number,
        payload_hash: &header.payload_hash,
        person: &header.person,
        previous: header.previous,
        role,
        site: &header.site,
        subject: &header.subject,
    })
}

impl BondRecord {
    pub(crate) fn make(header: &Header, bond: &Bond<'_>) -> Result<Self, CanonicalError> {
        let signature = bond.key.sign(&statement(header, &bond.role)?);
        Ok(Self {
            key: bond.key.public(),
            role: bond.role.clone(),
            signature: BASE64.encode(signature),
        })
    }

    /// The person's public key. Whose it is, certificates say, not the ledger.
    pub fn key(&self) -> &PublicKey {
        &self.key
    }

    /// The role.
    pub fn role(&self) -> &str {
        self.role.as_str()
    }

    pub(crate) fn verify(&self, header: &Header) -> Result<(), KeyFault> {
        let statement = statement(header, &self.role).map_err(|_| KeyFault::DoesNotFit)?;
        let signature = BASE64.decode(&self.signature).map_err(|_| KeyFault::NotASignature)?;
        self.key.verify(&statement, &signature)
    }
}

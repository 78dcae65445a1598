//! The ledger's own kinds: who founded the site, which installations it admitted, and what an
//! installation has received. All other payloads are opaque here.

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use serde::{Deserialize, Serialize};

use crate::canonical::{self, CanonicalError};
use crate::{ChainId, HeadSeen, PublicKey, SigningKey, SiteId};

/// The founding of a site: number 1 of its first chain.
pub const FOUND: &str = "found";
/// The admission of another installation's chain.
pub const ADMIT: &str = "admit";
/// What arrived here by other ways than entries.
pub const ACKNOWLEDGE: &str = "acknowledge";
/// Reserved for the revocation of an installation or a key.
pub const REVOKE: &str = "revoke";
/// Reserved for dropping a payload or an attachment by law.
pub const REDACT: &str = "redact";
/// Reserved for the last entry of a chain.
pub const CLOSE_CHAIN: &str = "close_chain";

/// Every kind that belongs to the ledger, reserved ones included.
pub const OWN: [&str; 6] = [FOUND, ADMIT, ACKNOWLEDGE, REVOKE, REDACT, CLOSE_CHAIN];

/// Payload of `found`, version 1.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Found {
    /// The site's name.
    pub site_name: String,
    /// The founding installation's name.
    pub installation_name: String,
    /// The authority's public key; the site is named after its hash.
    pub authority_key: PublicKey,
    /// The authority's certificate, base64 of DER.
    pub authority_certificate: String,
    /// The founding installation's own certificate, base64 of DER.
    pub intermediate_certificate: String,
    /// The authority's signature over the founding statement, base64 of DER.
    pub authority_signature: String,
}

/// What the authority signs at the founding.
#[derive(Serialize)]
struct FoundingStatement<'a> {
    authority_key: &'a PublicKey,
    chain: &'a ChainId,
    chain_key: &'a PublicKey,
    site: &'a SiteId,
}

fn founding_statement(
    authority: &PublicKey,
    chain_key: &PublicKey,
) -> Result<Vec<u8>, CanonicalError> {
    canonical::to_bytes(&FoundingStatement {
        authority_key: authority,
        chain: &ChainId::of(&chain_key.to_der()),
        chain_key,
        site: &SiteId::of(&authority.to_der()),
    })
}

/// Signs the founding statement with the authority's key: this chain speaks for the site.
///
/// # Errors
/// None that these types provoke.
pub fn sign_founding(
    authority: &SigningKey,
    chain_key: &PublicKey,
) -> Result<String, CanonicalError> {
    let statement = founding_statement(&authority.public(), chain_key)?;
    Ok(BASE64.encode(authority.sign(&statement)))
}

impl Found {
    /// Whether the authority signed for this chain.
    pub(crate) fn is_signed_for(&self, chain_key: &PublicKey) -> bool {
        let Ok(statement) = founding_statement(&self.authority_key, chain_key) else {
            return false;
        };
        BASE64
            .decode(&self.authority_signature)
            .is_ok_and(|signature| self.authority_key.verify(&statement, &signature).is_ok())
    }
}

/// What an admitted installation may do, the narrower right first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Right {
    /// Its entries stand.
    Write,
    /// The same, and it may admit others.
    Admit,
}

/// Payload of `admit`, version 1: an admitting installation lets another chain stand.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Admit {
    /// The chain.
    pub chain: ChainId,
    /// Its public key.
    pub chain_key: PublicKey,
    /// The installation's name.
    pub installation_name: String,
    /// What it may do.
    pub right: Right,
    /// Its own certificate, base64 of DER, where it may certify people.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub intermediate_certificate: Option<String>,
}

/// Payload of `acknowledge`, version 1: what this installation holds and verified.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Acknowledge {
    /// Heads of other chains, all before them included.
    pub heads: Vec<HeadSeen>,
    /// Attachments, by hash.
    pub attachments: Vec<crate::Digest>,
}

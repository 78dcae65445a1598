//! An entry: header bytes, payload bytes, and the chain's signature over the header.

use crate::canonical::{self, CanonicalError};
use crate::header::{Header, HeaderFault, MAX_PAYLOAD};
use crate::keys::KeyFault;
use crate::{Digest, EntryId, PublicKey};

/// An entry exactly as it was signed.
#[derive(Clone, Debug)]
pub struct Entry {
    id: EntryId,
    header: Header,
    header_bytes: Vec<u8>,
    payload: Option<Vec<u8>>,
    signature: Vec<u8>,
}

/// Why bytes are no entry, or not one of the chain that they name.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum EntryFault {
    /// The header itself.
    #[error(transparent)]
    Header(#[from] HeaderFault),
    /// The payload has another hash than the header says.
    #[error("the payload was changed: its hash is {found}, the header says {stated}")]
    Payload {
        /// Hash of the bytes at hand.
        found: Digest,
        /// Hash in the header.
        stated: Digest,
    },
    /// The payload has another length.
    #[error("the payload has {found} bytes, the header says {stated}")]
    PayloadLength {
        /// Bytes at hand.
        found: u64,
        /// Bytes in the header.
        stated: u64,
    },
    /// The payload is not in the one spelling that payloads have.
    #[error("the payload is not in its form: {0}")]
    PayloadForm(CanonicalError),
    /// The chain's signature.
    #[error("the chain's signature does not hold: {0}")]
    Signature(KeyFault),
    /// The person's signature.
    #[error("the person's signature does not hold: {0}")]
    Bond(KeyFault),
    /// The key is not the one that the chain is named after.
    #[error("the key is not that of the entry's chain")]
    OtherChain,
}

/// Two entries are the same when header and payload are; signatures are not compared.
impl PartialEq for Entry {
    fn eq(&self, other: &Self) -> bool {
        self.header_bytes == other.header_bytes && self.payload == other.payload
    }
}

impl Eq for Entry {}

impl Entry {
    /// Reads an entry whose signatures were verified when it was stored: header rules and the
    /// payload's hash are checked, the signatures are not.
    ///
    /// # Errors
    /// [`EntryFault`], for what is not in its form.
    pub fn from_stored(
        header_bytes: &[u8],
        payload: Option<&[u8]>,
        signature: &[u8],
    ) -> Result<Self, EntryFault> {
        let header = Header::parse(header_bytes)?;
        if let Some(payload) = payload {
            check_payload(&header, payload)?;
        }
        Ok(Self {
            id: EntryId::of(header_bytes),
            header,
            header_bytes: header_bytes.to_vec(),
            payload: payload.map(<[u8]>::to_vec),
            signature: signature.to_vec(),
        })
    }

    /// Reads and verifies an entry: form, payload, the chain's signature and the person's.
    ///
    /// A payload that is absent (redacted, or not arrived yet) leaves the rest to be verified.
    ///
    /// # Errors
    /// [`EntryFault`] names what does not hold.
    pub fn verify(
        header_bytes: &[u8],
        payload: Option<&[u8]>,
        signature: &[u8],
        chain_key: &PublicKey,
    ) -> Result<Self, EntryFault> {
        let entry = Self::from_stored(header_bytes, payload, signature)?;
        entry.verify_signatures(chain_key)?;
        if let Some(payload) = payload {
            canonical::parse(payload).map_err(EntryFault::PayloadForm)?;
        }
        Ok(entry)
    }

    /// Verifies the signatures of an entry that was read without.
    ///
    /// # Errors
    /// [`EntryFault`] names what does not hold.
    pub fn verify_signatures(&self, chain_key: &PublicKey) -> Result<(), EntryFault> {
        if crate::ChainId::of(&chain_key.to_der()) != self.header.chain {
            return Err(EntryFault::OtherChain);
        }
        chain_key.verify(&self.header_bytes, &self.signature).map_err(EntryFault::Signature)?;
        match &self.header.bond {
            Some(bond) => bond.verify(&self.header).map_err(EntryFault::Bond),
            None => Ok(()),
        }
    }

    /// The same entry with its payload left out.
    pub(crate) fn without_payload(&self) -> Self {
        let (header, signature) = (self.header.clone(), self.signature.clone());
        Self {
            id: self.id,
            header,
            header_bytes: self.header_bytes.clone(),
            payload: None,
            signature,
        }
    }

    /// SHA-256 of the header bytes.
    pub fn id(&self) -> &EntryId {
        &self.id
    }

    /// The header as read.
    pub fn header(&self) -> &Header {
        &self.header
    }

    /// The header exactly as signed.
    pub fn header_bytes(&self) -> &[u8] {
        &self.header_bytes
    }

    /// The payload exactly as signed; none when it was redacted or has not arrived.
    pub fn payload(&self) -> Option<&[u8]> {
        self.payload.as_deref()
    }

    /// The chain's signature, DER.
    pub fn signature(&self) -> &[u8] {
        &self.signature
    }
}

fn check_payload(header: &Header, payload: &[u8]) -> Result<(), EntryFault> {
    let found = payload.len() as u64;
    if found != header.payload_length || payload.len() > MAX_PAYLOAD {
        return Err(EntryFault::PayloadLength { found, stated: header.payload_length });
    }
    let hash = Digest::of(payload);
    if hash != header.payload_hash {
        return Err(EntryFault::Payload { found: hash, stated: header.payload_hash });
    }
    Ok(())
}

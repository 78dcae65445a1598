//! Signing by incremental update.
use crate::SignError;

/// A holder of a P-256 key who signs what it is given. The key stays with the caller.
pub trait Signer {
    /// Signs `message` with ECDSA P-256 over its SHA-256 and gives the DER signature.
    ///
    /// # Errors
    /// A sentence that says why not.
    fn sign(&self, message: &[u8]) -> Result<Vec<u8>, String>;
}

/// One act of signing: who, as what, when, and by which certificates.
#[derive(Debug, Clone)]
pub struct SigningAct<'a> {
    /// Name of the field, as in the view model's signature places.
    pub field: &'a str,
    /// Name of the person, as drawn.
    pub name: &'a str,
    /// Role in which the person signs, as drawn and as the reason.
    pub role: &'a str,
    /// RFC 3339 with offset.
    pub at: &'a str,
    /// Certificates in DER: the person's first, then the intermediate, then the site authority.
    pub chain: &'a [Vec<u8>],
}

/// Signs a place by an incremental update (PAdES baseline B-B) and gives the new bytes.
///
/// # Errors
/// See [`SignError`]; the bytes given are never changed.
pub fn sign(pdf: &[u8], act: &SigningAct<'_>, signer: &dyn Signer) -> Result<Vec<u8>, SignError> {
    let _ = (pdf, act, signer);
    Err(SignError::Internal { what: "signing".to_owned() })
}

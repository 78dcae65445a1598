//! Certificates and signatures: P-256 with SHA-256, nothing else.

use const_oid::ObjectIdentifier;
use der::{Decode, Encode};
use p256::ecdsa::signature::Verifier;
use p256::ecdsa::{DerSignature, VerifyingKey};
use sha2::{Digest, Sha256};
use x509_cert::Certificate;
use x509_cert::ext::pkix::{BasicConstraints, KeyUsage};

/// ecdsa-with-SHA256 (RFC 5758).
pub(crate) const ECDSA_SHA256: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.10045.4.3.2");
/// id-sha256.
pub(crate) const SHA256: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.16.840.1.101.3.4.2.1");
/// commonName.
const COMMON_NAME: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.5.4.3");
const BASIC_CONSTRAINTS: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.5.29.19");
const KEY_USAGE: ObjectIdentifier = ObjectIdentifier::new_unwrap("2.5.29.15");

/// A certificate with the bytes that it came in.
#[derive(Debug, Clone)]
pub(crate) struct Cert {
    pub(crate) parsed: Certificate,
    pub(crate) der: Vec<u8>,
}

impl Cert {
    /// Reads a certificate; other than canonical DER is refused, as its bytes could not be kept.
    pub(crate) fn read(der: &[u8]) -> Result<Self, String> {
        let parsed =
            Certificate::from_der(der).map_err(|e| format!("it is not a certificate: {e}"))?;
        if parsed.to_der().ok().as_deref() != Some(der) {
            return Err("its encoding is not canonical".to_owned());
        }
        Ok(Self { parsed, der: der.to_vec() })
    }

    /// The person's name, or the name of the authority.
    pub(crate) fn name(&self) -> String {
        let subject = &self.parsed.tbs_certificate.subject;
        let mut attributes = subject.0.iter().flat_map(|part| part.0.iter());
        attributes.find(|a| a.oid == COMMON_NAME).map_or_else(
            || subject.to_string(),
            |name| String::from_utf8_lossy(name.value.value()).into_owned(),
        )
    }

    /// SHA-256 of the public key (SPKI DER), hex.
    pub(crate) fn key_fingerprint(&self) -> String {
        let der = self.parsed.tbs_certificate.subject_public_key_info.to_der().unwrap_or_default();
        hex::encode(Sha256::digest(der))
    }

    /// Seconds since 1970 from and to which it holds.
    pub(crate) fn validity(&self) -> (i64, i64) {
        let validity = &self.parsed.tbs_certificate.validity;
        let seconds = |t: x509_cert::time::Time| {
            i64::try_from(t.to_unix_duration().as_secs()).unwrap_or(i64::MAX)
        };
        (seconds(validity.not_before), seconds(validity.not_after))
    }

    /// Checks a signature over `message` by this certificate's key.
    pub(crate) fn verifies(&self, message: &[u8], signature: &[u8]) -> bool {
        let info = &self.parsed.tbs_certificate.subject_public_key_info;
        let Some(point) = info.subject_public_key.as_bytes() else { return false };
        let Ok(key) = VerifyingKey::from_sec1_bytes(point) else { return false };
        let Ok(signature) = DerSignature::from_bytes(signature) else { return false };
        key.verify(message, &signature).is_ok()
    }

    /// Whether `issuer` signed this certificate.
    pub(crate) fn signed_by(&self, issuer: &Self) -> bool {
        let Ok(tbs) = self.parsed.tbs_certificate.to_der() else { return false };
        let named = self.parsed.tbs_certificate.issuer == issuer.parsed.tbs_certificate.subject;
        let algorithm = self.parsed.signature_algorithm.oid == ECDSA_SHA256;
        let Some(signature) = self.parsed.signature.as_bytes() else { return false };
        named && algorithm && issuer.verifies(&tbs, signature)
    }

    fn extension<T: for<'a> Decode<'a>>(&self, oid: ObjectIdentifier) -> Option<T> {
        let extensions = self.parsed.tbs_certificate.extensions.as_ref()?;
        let found = extensions.iter().find(|e| e.extn_id == oid)?;
        T::from_der(found.extn_value.as_bytes()).ok()
    }

    /// Whether it may issue certificates; the number says how many authorities may follow.
    pub(crate) fn authority(&self) -> Option<Option<u8>> {
        let basic: BasicConstraints = self.extension(BASIC_CONSTRAINTS)?;
        let usage: KeyUsage = self.extension(KEY_USAGE)?;
        (basic.ca && usage.key_cert_sign()).then_some(basic.path_len_constraint)
    }

    /// Whether it may sign documents and may not issue certificates.
    pub(crate) fn may_sign(&self) -> bool {
        let authority = self.extension::<BasicConstraints>(BASIC_CONSTRAINTS).is_some_and(|b| b.ca);
        let usage = self
            .extension::<KeyUsage>(KEY_USAGE)
            .is_some_and(|u| u.digital_signature() || u.non_repudiation());
        usage && !authority
    }

    /// The first critical extension that this program does not know.
    pub(crate) fn unknown_critical(&self) -> Option<String> {
        let known = [BASIC_CONSTRAINTS, KEY_USAGE];
        let extensions = self.parsed.tbs_certificate.extensions.as_ref()?;
        extensions
            .iter()
            .find(|e| e.critical && !known.contains(&e.extn_id))
            .map(|e| e.extn_id.to_string())
    }
}

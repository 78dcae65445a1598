//! Certificates of the site: authority, one intermediate per admitting installation, one per
//! person and installation.
//!
//! Not-before is the founding less a day and not-after the value that RFC 5280 (4.1.2.5) gives
//! for "no well-defined expiration date": a certificate that expired could not be verified
//! offline in twenty years. Revocation travels with the entries instead.

use std::str::FromStr;
use std::time::Duration;

use chrono::{DateTime, FixedOffset};
use der::asn1::{GeneralizedTime, UtcTime};
use der::{DateTime as DerDateTime, Encode};
use p256::ecdsa::{DerSignature, SigningKey};
use rand_core::{OsRng, RngCore};
use spki::{EncodePublicKey, SubjectPublicKeyInfoOwned};
use x509_cert::builder::{Builder, CertificateBuilder, Profile};
use x509_cert::name::Name;
use x509_cert::serial_number::SerialNumber;
use x509_cert::time::{Time, Validity};

use crate::error::{AppError, Result};

/// A certificate with the subject name under which it issues further ones.
#[derive(Clone, Debug)]
pub(crate) struct Issued {
    /// DER bytes.
    pub der: Vec<u8>,
    /// The subject, as the issuer of the next certificate down.
    pub subject: Name,
}

/// Makes the site's self-signed authority certificate.
pub(crate) fn authority(
    site: &str,
    key: &SigningKey,
    founded: DateTime<FixedOffset>,
) -> Result<Issued> {
    let subject = name(&[("CN", &format!("{site} site authority"))])?;
    issue(Profile::Root, subject, key, key, founded)
}

/// Makes the intermediate under which an admitting installation issues people's certificates.
pub(crate) fn intermediate(
    installation: &str,
    key: &SigningKey,
    issuer: (&Name, &SigningKey),
    founded: DateTime<FixedOffset>,
) -> Result<Issued> {
    let subject = name(&[("CN", &format!("{installation} admitting installation"))])?;
    let profile = Profile::SubCA { issuer: issuer.0.clone(), path_len_constraint: Some(0) };
    issue(profile, subject, key, issuer.1, founded)
}

/// Makes the certificate of one person on one installation.
///
/// The common name is the person's name alone; `serialNumber` carries the person's id, because
/// two people may share a name.
pub(crate) fn person(
    full_name: &str,
    person_id: &str,
    key: &SigningKey,
    issuer: (&Name, &SigningKey),
    founded: DateTime<FixedOffset>,
) -> Result<Issued> {
    let subject = name(&[("CN", full_name), ("serialNumber", person_id)])?;
    let profile = Profile::Leaf {
        issuer: issuer.0.clone(),
        enable_key_agreement: false,
        enable_key_encipherment: false,
    };
    issue(profile, subject, key, issuer.1, founded)
}

fn issue(
    profile: Profile,
    subject: Name,
    key: &SigningKey,
    signer: &SigningKey,
    founded: DateTime<FixedOffset>,
) -> Result<Issued> {
    let failed = |cause: &dyn std::fmt::Display| AppError::internal("Making a certificate", cause);
    let spki =
        key.verifying_key().to_public_key_der().map_err(|e| failed(&e)).and_then(|d| {
            SubjectPublicKeyInfoOwned::try_from(d.as_bytes()).map_err(|e| failed(&e))
        })?;
    let validity = Validity { not_before: not_before(founded)?, not_after: Time::INFINITY };
    let serial = serial_number()?;
    let builder = CertificateBuilder::new(profile, serial, validity, subject.clone(), spki, signer)
        .map_err(|e| failed(&e))?;
    let certificate = builder.build::<DerSignature>().map_err(|e| failed(&e))?;
    let der = certificate.to_der().map_err(|e| failed(&e))?;
    Ok(Issued { der, subject })
}

fn serial_number() -> Result<SerialNumber> {
    let mut bytes = [0_u8; 16];
    OsRng.fill_bytes(&mut bytes);
    // RFC 5280 wants a positive number: the top bit is cleared and the next one set.
    bytes[0] = (bytes[0] & 0x7f) | 0x40;
    SerialNumber::new(&bytes).map_err(|e| AppError::internal("Making a certificate", e))
}

fn not_before(founded: DateTime<FixedOffset>) -> Result<Time> {
    let day_before = founded.timestamp() - 86_400;
    let since_epoch = Duration::from_secs(u64::try_from(day_before).unwrap_or(0));
    let failed = |cause| AppError::internal("Dating a certificate", cause);
    // RFC 5280: dates through 2049 are written as UTCTime, later ones as GeneralizedTime.
    if let Ok(time) = UtcTime::from_unix_duration(since_epoch) {
        return Ok(Time::UtcTime(time));
    }
    let time = DerDateTime::from_unix_duration(since_epoch).map_err(failed)?;
    Ok(Time::GeneralTime(GeneralizedTime::from_date_time(time)))
}

/// Builds a distinguished name; values are escaped by RFC 4514.
fn name(parts: &[(&str, &str)]) -> Result<Name> {
    let text: Vec<String> =
        parts.iter().map(|(kind, value)| format!("{kind}={}", escape(value))).collect();
    Name::from_str(&text.join(","))
        .map_err(|e| AppError::internal("Writing a name into a certificate", e))
}

fn escape(value: &str) -> String {
    let mut out = String::with_capacity(value.len());
    for (index, character) in value.chars().enumerate() {
        let special = matches!(character, ',' | '+' | '"' | '\\' | '<' | '>' | ';' | '=')
            || (index == 0 && matches!(character, '#' | ' '))
            || (index + 1 == value.chars().count() && character == ' ');
        if special {
            out.push('\\');
        }
        out.push(character);
    }
    out
}

#[cfg(test)]
mod tests {
    use der::Decode;
    use p256::ecdsa::signature::Verifier;
    use x509_cert::Certificate;

    use super::*;

    fn key(seed: u8) -> SigningKey {
        SigningKey::from_slice(&[seed; 32]).unwrap()
    }

    #[test]
    fn a_path_of_three_is_signed_link_by_link() {
        let founded = DateTime::parse_from_rfc3339("2026-08-24T07:00:00-04:00").unwrap();
        let (root_key, middle_key, own_key) = (key(1), key(2), key(3));
        let root = authority("Pampa Chercán Solar Yard", &root_key, founded).unwrap();
        let middle = intermediate("L1", &middle_key, (&root.subject, &root_key), founded).unwrap();
        let leaf = person(
            "Pía Lonquén, deputy",
            "P-05",
            &own_key,
            (&middle.subject, &middle_key),
            founded,
        )
        .unwrap();
        for (certificate, signer) in
            [(&root, &root_key), (&middle, &root_key), (&leaf, &middle_key)]
        {
            let parsed = Certificate::from_der(&certificate.der).unwrap();
            let body = parsed.tbs_certificate.to_der().unwrap();
            let signature = DerSignature::try_from(parsed.signature.raw_bytes()).unwrap();
            signer.verifying_key().verify(&body, &signature).unwrap();
            assert_eq!(parsed.tbs_certificate.validity.not_after, Time::INFINITY);
        }
        let parsed = Certificate::from_der(&leaf.der).unwrap();
        let subject = parsed.tbs_certificate.subject.to_string();
        assert!(subject.contains("P-05"), "{subject}");
    }
}

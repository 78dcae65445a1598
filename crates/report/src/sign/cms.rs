//! The signature container: CMS SignedData, detached, with the attributes of a PAdES baseline B-B
//! signature (content type, message digest, signing certificate; ETSI EN 319 142-1). The time is
//! claimed by the PDF's own entry, not here.

use cms::cert::{CertificateChoices, IssuerAndSerialNumber};
use cms::content_info::{CmsVersion, ContentInfo};
use cms::signed_data::{
    CertificateSet, EncapsulatedContentInfo, SignedData, SignerIdentifier, SignerInfo, SignerInfos,
};
use const_oid::ObjectIdentifier;
use der::asn1::{OctetString, SetOfVec};
use der::{Any, Encode, Sequence};
use sha2::{Digest, Sha256};
use spki::AlgorithmIdentifierOwned;
use x509_cert::attr::Attribute;
use x509_cert::ext::pkix::name::GeneralName;
use x509_cert::serial_number::SerialNumber;

use super::Signer;
use crate::SignError;
use crate::pki::{Cert, ECDSA_SHA256, SHA256};

const DATA: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.7.1");
const SIGNED_DATA: ObjectIdentifier = ObjectIdentifier::new_unwrap("1.2.840.113549.1.7.2");
/// Attribute contentType.
pub(crate) const CONTENT_TYPE: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.3");
/// Attribute messageDigest.
pub(crate) const MESSAGE_DIGEST: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.4");
/// Attribute signingCertificateV2 (RFC 5035).
pub(crate) const SIGNING_CERTIFICATE: ObjectIdentifier =
    ObjectIdentifier::new_unwrap("1.2.840.113549.1.9.16.2.47");

/// RFC 5035, IssuerSerial.
#[derive(Sequence)]
struct IssuerSerial {
    issuer: Vec<GeneralName>,
    serial_number: SerialNumber,
}

/// RFC 5035, ESSCertIDv2; the hash algorithm is left out, which means SHA-256.
#[derive(Sequence)]
struct EssCertId {
    hash: OctetString,
    issuer_serial: IssuerSerial,
}

/// RFC 5035, SigningCertificateV2 without policies.
#[derive(Sequence)]
struct SigningCertificate {
    certs: Vec<EssCertId>,
}

/// Builds the container over a digest of the file.
pub(super) fn build(
    digest: &[u8],
    chain: &[Cert],
    signer: &dyn Signer,
) -> Result<Vec<u8>, SignError> {
    let Some(own) = chain.first() else {
        return Err(SignError::Certificate { reason: "none was given".to_owned() });
    };
    let attributes = attributes(digest, own).map_err(encoding)?;
    let message = attributes.to_der().map_err(encoding)?;
    let signature = signer.sign(&message).map_err(|reason| SignError::Signer { reason })?;
    if !own.verifies(&message, &signature) {
        let reason = "the key does not belong to the certificate".to_owned();
        return Err(SignError::Certificate { reason });
    }
    container(attributes, signature, chain).map_err(encoding)
}

fn encoding(error: der::Error) -> SignError {
    SignError::Internal { what: format!("encoding the signature: {error}") }
}

fn attribute(oid: ObjectIdentifier, value: Any) -> der::Result<Attribute> {
    Ok(Attribute { oid, values: SetOfVec::try_from(vec![value])? })
}

fn attributes(digest: &[u8], own: &Cert) -> der::Result<SetOfVec<Attribute>> {
    let tbs = &own.parsed.tbs_certificate;
    let id = SigningCertificate {
        certs: vec![EssCertId {
            hash: OctetString::new(Sha256::digest(&own.der).to_vec())?,
            issuer_serial: IssuerSerial {
                issuer: vec![GeneralName::DirectoryName(tbs.issuer.clone())],
                serial_number: tbs.serial_number.clone(),
            },
        }],
    };
    SetOfVec::try_from(vec![
        attribute(CONTENT_TYPE, Any::encode_from(&DATA)?)?,
        attribute(MESSAGE_DIGEST, Any::encode_from(&OctetString::new(digest.to_vec())?)?)?,
        attribute(SIGNING_CERTIFICATE, Any::encode_from(&id)?)?,
    ])
}

fn container(
    attributes: SetOfVec<Attribute>,
    signature: Vec<u8>,
    chain: &[Cert],
) -> der::Result<Vec<u8>> {
    let algorithm = |oid| AlgorithmIdentifierOwned { oid, parameters: None };
    let own = chain.first().ok_or_else(|| der::Error::from(der::ErrorKind::Failed))?;
    let info = SignerInfo {
        version: CmsVersion::V1,
        sid: SignerIdentifier::IssuerAndSerialNumber(IssuerAndSerialNumber {
            issuer: own.parsed.tbs_certificate.issuer.clone(),
            serial_number: own.parsed.tbs_certificate.serial_number.clone(),
        }),
        digest_alg: algorithm(SHA256),
        signed_attrs: Some(attributes),
        signature_algorithm: algorithm(ECDSA_SHA256),
        signature: OctetString::new(signature)?,
        unsigned_attrs: None,
    };
    let certificates: Vec<CertificateChoices> =
        chain.iter().map(|c| CertificateChoices::Certificate(c.parsed.clone())).collect();
    let data = SignedData {
        version: CmsVersion::V1,
        digest_algorithms: SetOfVec::try_from(vec![algorithm(SHA256)])?,
        encap_content_info: EncapsulatedContentInfo { econtent_type: DATA, econtent: None },
        certificates: Some(CertificateSet(SetOfVec::try_from(certificates)?)),
        crls: None,
        signer_infos: SignerInfos(SetOfVec::try_from(vec![info])?),
    };
    ContentInfo { content_type: SIGNED_DATA, content: Any::encode_from(&data)? }.to_der()
}

//! A site's authority, one intermediate and three people, made for the tests with rcgen, which is
//! independent of the code under test.

use p256::ecdsa::signature::Signer as _;
use p256::pkcs8::DecodePrivateKey;
use rcgen::{
    BasicConstraints, Certificate, CertificateParams, DnType, IsCa, Issuer, KeyPair,
    KeyUsagePurpose, PublicKeyData as _, date_time_ymd,
};
use report::{Signer, SigningAct};

/// A person's key.
pub(crate) struct Key(p256::ecdsa::SigningKey);

impl Signer for Key {
    fn sign(&self, message: &[u8]) -> Result<Vec<u8>, String> {
        let signature: p256::ecdsa::DerSignature = self.0.sign(message);
        Ok(signature.as_bytes().to_vec())
    }
}

pub(crate) struct Person {
    pub(crate) name: &'static str,
    pub(crate) key: Key,
    pub(crate) chain: Vec<Vec<u8>>,
}

/// A site.
pub(crate) struct Site {
    pub(crate) root: Certificate,
    /// SHA-256 of the authority's public key.
    pub(crate) fingerprint: String,
    issuer: Issuer<'static, KeyPair>,
    uppers: Vec<Vec<u8>>,
}

fn params(name: &str, ca: bool) -> CertificateParams {
    let mut params = CertificateParams::new(Vec::new()).unwrap();
    params.distinguished_name = rcgen::DistinguishedName::new();
    params.distinguished_name.push(DnType::CommonName, name);
    params.not_before = date_time_ymd(2026, 8, 23);
    params.not_after = date_time_ymd(9999, 12, 31);
    if ca {
        params.is_ca = IsCa::Ca(BasicConstraints::Unconstrained);
        params.key_usages = vec![KeyUsagePurpose::KeyCertSign, KeyUsagePurpose::CrlSign];
    } else {
        params.is_ca = IsCa::ExplicitNoCa;
        params.key_usages =
            vec![KeyUsagePurpose::DigitalSignature, KeyUsagePurpose::ContentCommitment];
    }
    params.use_authority_key_identifier_extension = true;
    params
}

impl Site {
    pub(crate) fn new() -> Self {
        use sha2::Digest as _;
        let root_key = KeyPair::generate_for(&rcgen::PKCS_ECDSA_P256_SHA256).unwrap();
        let root_params = params("Pampa Chercán authority", true);
        let root = root_params.self_signed(&root_key).unwrap();
        let fingerprint = hex::encode(sha2::Sha256::digest(root_key.subject_public_key_info()));
        let root_issuer = Issuer::new(root_params, root_key);
        let key = KeyPair::generate_for(&rcgen::PKCS_ECDSA_P256_SHA256).unwrap();
        let middle_params = params("T1", true);
        let middle = middle_params.signed_by(&key, &root_issuer).unwrap();
        let uppers = vec![middle.der().to_vec(), root.der().to_vec()];
        Self { root, fingerprint, issuer: Issuer::new(middle_params, key), uppers }
    }

    pub(crate) fn person(&self, name: &'static str) -> Person {
        self.person_with(name, params(name, false))
    }

    pub(crate) fn person_with(&self, name: &'static str, params: CertificateParams) -> Person {
        let key = KeyPair::generate_for(&rcgen::PKCS_ECDSA_P256_SHA256).unwrap();
        let own = params.signed_by(&key, &self.issuer).unwrap();
        let mut chain = vec![own.der().to_vec()];
        chain.extend(self.uppers.iter().cloned());
        let key = Key(p256::ecdsa::SigningKey::from_pkcs8_der(key.serialized_der()).unwrap());
        Person { name, key, chain }
    }

    pub(crate) fn expired(&self, name: &'static str) -> Person {
        let mut params = params(name, false);
        params.not_after = date_time_ymd(2026, 8, 25);
        self.person_with(name, params)
    }
}

impl Person {
    pub(crate) fn sign(&self, pdf: &[u8], field: &str, role: &str, at: &str) -> Vec<u8> {
        self.try_sign(pdf, field, role, at).unwrap()
    }

    pub(crate) fn try_sign(
        &self,
        pdf: &[u8],
        field: &str,
        role: &str,
        at: &str,
    ) -> Result<Vec<u8>, report::SignError> {
        let act = SigningAct { field, name: self.name, role, at, chain: &self.chain };
        report::sign(pdf, &act, &self.key)
    }
}

/// The report whose site is this one, unsigned.
pub(crate) fn unsigned(site: &Site) -> Vec<u8> {
    let mut handover = crate::fixture::handover();
    handover.site.authority.clone_from(&site.fingerprint);
    report::render(&handover, &crate::fixture::entries()).unwrap()
}

/// The report signed by three people on three days.
pub(crate) fn signed(site: &Site) -> Vec<u8> {
    let one = site.person("Ivana Brize").sign(
        &unsigned(site),
        "crew",
        "Crew",
        "2026-08-28T08:00:00-04:00",
    );
    let two = site.person("Teodoro Manquel").sign(
        &one,
        "supervisor",
        "Supervisor",
        "2026-08-29T09:30:00-04:00",
    );
    site.person("Gaspar Ñancupel").sign(&two, "owner", "Owner", "2026-09-10T10:15:00-03:00")
}

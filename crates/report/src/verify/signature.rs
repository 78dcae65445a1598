//! The signatures: whose, over which bytes, and whether the mathematics hold.

use cms::cert::CertificateChoices;
use cms::content_info::ContentInfo;
use cms::signed_data::{SignedData, SignerIdentifier, SignerInfo};
use der::asn1::OctetString;
use der::{Decode, Encode, Reader, SliceReader};
use lopdf::{Dictionary, Object};
use sha2::{Digest, Sha256};

use super::file::{Field, Revision, form_fields, text_of};
use super::path::{self, Path};
use super::{FETCH, Level, Signed, Statement, VerifyOptions};
use crate::pki::{Cert, ECDSA_SHA256, SHA256};
use crate::sign::{CONTENT_TYPE, MESSAGE_DIGEST, SIGNING_CERTIFICATE};

/// A signature that was found.
pub(crate) struct Signature {
    pub(crate) field: String,
    /// Index of the revision that ends with it; none when its byte range fits no revision.
    pub(crate) revision: Option<usize>,
    pub(crate) name: String,
    role: String,
    claimed: String,
    at: Option<i64>,
    container: Option<Container>,
    range: Option<[usize; 4]>,
}

struct Container {
    info: SignerInfo,
    own: Cert,
    path: Path,
}

impl Signature {
    fn object(&self) -> String {
        format!("signature {}", self.field)
    }
    /// Who signed, for the caller to compare with what the entries know.
    pub(crate) fn signed(&self) -> Option<Signed> {
        let container = self.container.as_ref()?;
        Some(Signed {
            field: self.field.clone(),
            name: self.name.clone(),
            role: self.role.clone(),
            at: self.at,
            certificate: container.own.der.clone(),
            root: container.path.root_fingerprint().unwrap_or_default(),
        })
    }
    /// Who signed, for sentences about what came after.
    pub(crate) fn who(&self) -> String {
        if self.name.is_empty() {
            self.field.clone()
        } else {
            format!("{} ({})", self.name, self.role)
        }
    }
}

/// Finds all signatures, in the order in which they were made.
pub(crate) fn collect(
    pdf: &[u8],
    revisions: &[Revision],
    out: &mut Vec<Statement>,
) -> Vec<Signature> {
    let Some(last) = revisions.last() else { return Vec::new() };
    let mut found = Vec::new();
    for field in form_fields(&last.doc).into_iter().filter(|f| f.dict.has(b"V")) {
        let value = field.dict.get(b"V").and_then(|v| last.doc.dereference(v));
        match value.ok().and_then(|(_, v)| v.as_dict().ok()) {
            Some(dict) => found.push(read(pdf, revisions, &field, dict, out)),
            None => out.push(Statement::error(
                "signature_unreadable",
                &format!("signature {}", field.name),
                "The place is marked as signed, but there is no signature.".to_owned(),
            )),
        }
    }
    found.sort_by_key(|s| s.range.map_or(usize::MAX, |[_, _, c, d]| c.saturating_add(d)));
    found
}

fn read(
    pdf: &[u8],
    revisions: &[Revision],
    field: &Field,
    dict: &Dictionary,
    out: &mut Vec<Statement>,
) -> Signature {
    let text = |key: &[u8]| dict.get(key).map(text_of).unwrap_or_default();
    let claimed = text(b"M");
    let mut signature = Signature {
        field: field.name.clone(),
        revision: None,
        name: text(b"Name"),
        role: text(b"Reason"),
        at: seconds(&claimed),
        claimed,
        container: None,
        range: None,
    };
    let object = signature.object();
    let mut error =
        |code, sentence: &str| out.push(Statement::error(code, &object, sentence.to_owned()));
    let Some(range) = byte_range(dict) else {
        error("signature_unreadable", "The signature does not say which bytes it covers.");
        return signature;
    };
    signature.range = Some(range);
    match covered(pdf, range) {
        Some((contents, end)) => {
            signature.revision = revisions.iter().position(|r| r.end == end);
            if signature.revision.is_none() {
                error(
                    "signature_coverage",
                    "The signature leaves out bytes: it does not cover the file up to the end of an update.",
                );
            }
            signature.container = container(&contents);
            if signature.container.is_none() {
                error(
                    "signature_unreadable",
                    "The signature cannot be read: it was damaged or made in another way.",
                );
            }
        }
        None => {
            error("signature_coverage", "The signature leaves out bytes other than its own value.");
        }
    }
    signature
}

fn byte_range(dict: &Dictionary) -> Option<[usize; 4]> {
    let numbers = dict.get(b"ByteRange").and_then(Object::as_array).ok()?;
    let numbers: Vec<usize> =
        numbers.iter().filter_map(|n| usize::try_from(n.as_i64().ok()?).ok()).collect();
    <[usize; 4]>::try_from(numbers).ok()
}

/// The signature's own bytes and the end of what is covered, if only the former are left out.
fn covered(pdf: &[u8], [start, first, after, rest]: [usize; 4]) -> Option<(Vec<u8>, usize)> {
    let end = after.checked_add(rest)?;
    let gap = pdf.get(first..after)?;
    let hex = gap.strip_prefix(b"<")?.strip_suffix(b">")?;
    if start != 0 || end > pdf.len() {
        return None;
    }
    Some((hex::decode(hex).ok()?, end))
}

/// Reads the container; the zeros that pad its place are left out.
fn container(bytes: &[u8]) -> Option<Container> {
    let mut reader = SliceReader::new(bytes).ok()?;
    let info = ContentInfo::decode(&mut reader).ok()?;
    let tail = bytes.get(usize::try_from(u32::from(reader.position())).ok()?..)?;
    if tail.iter().any(|b| *b != 0) {
        return None;
    }
    let data: SignedData = info.content.decode_as().ok()?;
    let certs: Vec<Cert> = data
        .certificates?
        .0
        .iter()
        .take(20)
        .filter_map(|c| match c {
            CertificateChoices::Certificate(c) => Cert::read(&c.to_der().ok()?).ok(),
            CertificateChoices::Other(_) => None,
        })
        .collect();
    let [info] = <[SignerInfo; 1]>::try_from(data.signer_infos.0.into_vec()).ok()?;
    let SignerIdentifier::IssuerAndSerialNumber(id) = &info.sid else { return None };
    let own = certs.iter().find(|c| {
        let tbs = &c.parsed.tbs_certificate;
        tbs.issuer == id.issuer && tbs.serial_number == id.serial_number
    })?;
    let path = path::build(own, &certs);
    Some(Container { own: own.clone(), info, path })
}

/// Checks every signature.
pub(crate) fn examine(
    pdf: &[u8],
    signatures: &[Signature],
    options: &VerifyOptions,
    out: &mut Vec<Statement>,
) {
    for signature in signatures {
        let object = signature.object();
        let (Some(container), Some(range)) = (&signature.container, signature.range) else {
            continue;
        };
        match mathematics(pdf, range, container) {
            Ok(()) => out.push(Statement::ok("signature_valid", &object, format!(
                "{} signed as {} at {}. What was signed is unchanged.",
                signature.name, signature.role, readable(&signature.claimed),
            ))),
            Err(("signature_digest", _)) => out.push(Statement::error("signature_digest", &object, format!(
                "Bytes were changed after {} signed: what the signature covers is not what was signed.", signature.who(),
            ))),
            Err((code, sentence)) => out.push(Statement::error(code, &object, sentence.to_owned())),
        }
        if signature.at.is_none() {
            out.push(Statement::error(
                "signature_time",
                &object,
                "The signature claims no readable time.".to_owned(),
            ));
        }
        if container.own.name() != signature.name {
            out.push(Statement::error(
                "signature_name",
                &object,
                format!(
                    "The page names {}, but the certificate belongs to {}.",
                    signature.name,
                    container.own.name(),
                ),
            ));
        }
        path::examine(&object, &container.path, signature.at, out);
        authority(&object, &container.path, options, out);
    }
}

fn mathematics(
    pdf: &[u8],
    [_, first, after, rest]: [usize; 4],
    container: &Container,
) -> Result<(), (&'static str, &'static str)> {
    let info = &container.info;
    if info.signature_algorithm.oid != ECDSA_SHA256 || info.digest_alg.oid != SHA256 {
        return Err((
            "signature_algorithm",
            "The signature uses an algorithm other than P-256 with SHA-256.",
        ));
    }
    let attributes = info
        .signed_attrs
        .as_ref()
        .ok_or(("signature_attributes", "The signature lacks its signed attributes."))?;
    let value = |oid| {
        let attribute = attributes.iter().find(|a| a.oid == oid)?;
        attribute.values.get(0).cloned()
    };
    let message = attributes
        .to_der()
        .map_err(|_| ("signature_attributes", "The signed attributes cannot be read."))?;
    if !container.own.verifies(&message, info.signature.as_bytes()) {
        return Err((
            "signature_math",
            "The signature was not made by the key of its certificate.",
        ));
    }
    let digest = Sha256::new()
        .chain_update(pdf.get(..first).unwrap_or_default())
        .chain_update(pdf.get(after..after.saturating_add(rest)).unwrap_or_default())
        .finalize();
    let signed = value(MESSAGE_DIGEST).and_then(|v| v.decode_as::<OctetString>().ok());
    if signed.is_none_or(|s| s.as_bytes() != digest.as_slice()) {
        return Err(("signature_digest", ""));
    }
    // The certificate itself is signed too, so that it cannot be exchanged for another.
    let hash = Sha256::digest(&container.own.der);
    let bound = value(SIGNING_CERTIFICATE)
        .and_then(|v| v.to_der().ok())
        .is_some_and(|der| der.windows(hash.len()).any(|w| w == hash.as_slice()));
    if !bound || value(CONTENT_TYPE).is_none() {
        return Err(("signature_attributes", "The signature is not bound to its certificate."));
    }
    Ok(())
}

fn authority(object: &str, path: &Path, options: &VerifyOptions, out: &mut Vec<Statement>) {
    let Some(root) = path.root() else { return };
    let fingerprint = root.key_fingerprint();
    match &options.expected_root {
        None => out.push(Statement::warning(
            "authority_not_compared",
            object,
            format!("The signature leads to the site authority {} with key {fingerprint}. Anyone can make an authority of that name.", root.name()),
            "Ask the site for the fingerprint of its authority's key by a way that you trust, and compare.",
        )),
        Some(expected) if expected.trim().eq_ignore_ascii_case(&fingerprint) => {
            out.push(Statement::ok("authority", object, format!("The signature leads to the expected site authority, {}.", root.name())));
        }
        Some(expected) => out.push(Statement::error("authority", object, format!(
            "The signature leads to another site authority: its key is {fingerprint}, expected was {}.", expected.trim(),
        ))),
    }
}

/// Compares the authority that the report names with the one that the signatures lead to.
pub(crate) fn authority_of_the_report(
    signatures: &[Signature],
    claimed: &str,
    out: &mut Vec<Statement>,
) {
    for signature in signatures {
        let root = signature.container.as_ref().and_then(|c| c.path.root());
        if let Some(root) = root
            && !root.key_fingerprint().eq_ignore_ascii_case(claimed)
        {
            out.push(Statement::error("authority_of_the_report", &signature.object(), format!(
                "The report names a site authority with key {claimed}, but the signature leads to one with key {}.", root.key_fingerprint(),
            )));
        }
    }
}

/// Lists places that are not signed.
pub(crate) fn unsigned(last: &Revision, out: &mut Vec<Statement>) {
    let fields = form_fields(&last.doc);
    if fields.is_empty() {
        out.push(Statement {
            code: "no_places",
            level: Level::Warning,
            object: "file".to_owned(),
            sentence: "The file has no place for a signature.".to_owned(),
            next_step: FETCH.to_owned(),
        });
    }
    for field in fields.iter().filter(|f| !f.dict.has(b"V")) {
        let sentence = format!("The place for {} is not signed.", field.name);
        out.push(Statement::warning(
            "not_signed",
            &format!("signature {}", field.name),
            sentence,
            "Ask for the signed file if that signature matters to you.",
        ));
    }
}

/// A date such as `D:20260828074000-04'00'` in RFC 3339.
fn rfc3339(date: &str) -> Option<chrono::DateTime<chrono::FixedOffset>> {
    let date = date.strip_prefix("D:")?.replace('\'', "");
    let date = date.strip_suffix('Z').map_or_else(|| date.clone(), |d| format!("{d}+0000"));
    chrono::DateTime::parse_from_str(&date, "%Y%m%d%H%M%S%z").ok()
}

fn seconds(date: &str) -> Option<i64> {
    rfc3339(date).map(|d| d.timestamp())
}

fn readable(date: &str) -> String {
    rfc3339(date).map_or_else(
        || "an unreadable time".to_owned(),
        |d| d.format("%-d %b %Y, %H:%M (UTC%:z)").to_string().replace("UTC-", "UTC\u{2212}"),
    )
}

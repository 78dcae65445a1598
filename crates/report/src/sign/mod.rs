//! Signing by incremental update: everything that was there stays, byte for byte, and the
//! signature is appended behind it (PAdES baseline B-B).

mod appearance;
mod cms;

pub(crate) use cms::{CONTENT_TYPE, MESSAGE_DIGEST, SIGNING_CERTIFICATE};
use lopdf::{
    Dictionary, Document, IncrementalDocument, Object, ObjectId, StringFormat, dictionary,
};
use sha2::{Digest, Sha256};

use crate::SignError;
use crate::pdf::{pdf_date, text_string};
use crate::pki::Cert;
use crate::verify::{form_fields, load, refusal};

/// Bytes reserved for the signature; a chain of three certificates takes about 2 000.
const RESERVED: usize = 8192;
/// Stands where a number of the byte range will be written; ten digits.
const PLACEHOLDER: i64 = 9_999_999_999;

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
    /// Name of the person, as drawn; must be the common name of the certificate.
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
/// A file that was changed after it was made or signed is refused.
///
/// # Errors
/// See [`SignError`]; the bytes given are never changed.
pub fn sign(pdf: &[u8], act: &SigningAct<'_>, signer: &dyn Signer) -> Result<Vec<u8>, SignError> {
    let chain = certificates(act)?;
    let doc = load(pdf).map_err(|reason| SignError::Unreadable { reason })?;
    if let Some(reason) = refusal(pdf) {
        return Err(SignError::Tampered { reason });
    }
    let (id, field) = find_field(&doc, act.field)?;
    let date = pdf_date(act.at).map_err(|_| SignError::BadDate { value: act.at.to_owned() })?;
    let mut update = IncrementalDocument::create_from(pdf.to_vec(), doc);
    update.new_document.version = "1.7".to_owned();
    let drawn = appearance::draw(&mut update.new_document, &field, act, &chain)?;
    let value = update.new_document.add_object(dictionary! {
        "Type" => "Sig",
        "Filter" => "Adobe.PPKLite",
        "SubFilter" => "ETSI.CAdES.detached",
        "ByteRange" => vec![0.into(), PLACEHOLDER.into(), PLACEHOLDER.into(), PLACEHOLDER.into()],
        "Contents" => Object::String(vec![0; RESERVED], StringFormat::Hexadecimal),
        "M" => Object::string_literal(date),
        "Name" => text_string(act.name),
        "Reason" => text_string(act.role),
    });
    let mut field = field;
    field.set("V", value);
    field.set("AP", dictionary! { "N" => drawn });
    update.new_document.set_object(id, field);
    let mut out = Vec::new();
    update.save_to(&mut out).map_err(|e| internal(&format!("writing: {e}")))?;
    fill(&mut out, pdf.len(), &chain, signer)?;
    Ok(out)
}

fn internal(what: &str) -> SignError {
    SignError::Internal { what: what.to_owned() }
}

/// Reads the chain and checks that each certificate was signed by the next.
fn certificates(act: &SigningAct<'_>) -> Result<Vec<Cert>, SignError> {
    let bad = |reason: String| SignError::Certificate { reason };
    let chain: Vec<Cert> =
        act.chain.iter().map(|der| Cert::read(der)).collect::<Result<_, _>>().map_err(bad)?;
    let Some(own) = chain.first() else {
        return Err(bad("none was given".to_owned()));
    };
    if own.name() != act.name {
        return Err(bad(format!("it names {}, but {} signs", own.name(), act.name)));
    }
    for pair in chain.windows(2) {
        if let [lower, upper] = pair
            && !lower.signed_by(upper)
        {
            return Err(bad(format!("{} did not issue that of {}", upper.name(), lower.name())));
        }
    }
    Ok(chain)
}

fn find_field(doc: &Document, name: &str) -> Result<(ObjectId, Dictionary), SignError> {
    let fields = form_fields(doc);
    let have: Vec<&str> = fields.iter().map(|f| f.name.as_str()).collect();
    let Some(field) = fields.iter().find(|f| f.name == name) else {
        return Err(SignError::NoSuchField { field: name.to_owned(), have: have.join(", ") });
    };
    if field.dict.has(b"V") {
        return Err(SignError::AlreadySigned { field: name.to_owned() });
    }
    Ok((field.id, field.dict.clone()))
}

/// Writes byte range and signature into their reserved places behind `from`.
fn fill(out: &mut [u8], from: usize, chain: &[Cert], signer: &dyn Signer) -> Result<(), SignError> {
    let zeros = format!("<{}>", "0".repeat(RESERVED * 2));
    let gap =
        find(out, zeros.as_bytes(), from).ok_or_else(|| internal("no place for the signature"))?;
    let after = gap + zeros.len();
    let mut at = from;
    for number in [gap, after, out.len() - after] {
        let placeholder = PLACEHOLDER.to_string();
        at = find(out, placeholder.as_bytes(), at).ok_or_else(|| internal("no byte range"))?;
        let text = format!("{number:<10}");
        put(out, at, text.as_bytes())?;
    }
    let digest = Sha256::new()
        .chain_update(out.get(..gap).unwrap_or_default())
        .chain_update(out.get(after..).unwrap_or_default())
        .finalize();
    let cms = cms::build(&digest, chain, signer)?;
    if cms.len() > RESERVED {
        return Err(internal("the certificates are too large"));
    }
    put(out, gap + 1, hex::encode(cms).as_bytes())
}

fn put(out: &mut [u8], at: usize, bytes: &[u8]) -> Result<(), SignError> {
    out.get_mut(at..at + bytes.len())
        .ok_or_else(|| internal("no room for the signature"))?
        .copy_from_slice(bytes);
    Ok(())
}

/// Where `what` stands at or after `from`.
fn find(bytes: &[u8], what: &[u8], from: usize) -> Option<usize> {
    let tail = bytes.get(from..)?;
    tail.windows(what.len()).position(|w| w == what).map(|i| from + i)
}

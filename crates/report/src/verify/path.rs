//! The certificate path: person, intermediate, site authority.

use super::{Level, Statement};
use crate::pki::Cert;

/// The certificates from the signer up to the one that signed itself.
pub(crate) struct Path {
    pub(crate) certs: Vec<Cert>,
}

impl Path {
    /// SHA-256 of the root's public key, hex.
    pub(crate) fn root_fingerprint(&self) -> Option<String> {
        self.root().map(Cert::key_fingerprint)
    }

    pub(crate) fn root(&self) -> Option<&Cert> {
        self.certs.last().filter(|c| c.signed_by(c))
    }
}

/// Follows the issuers upwards among the certificates that came with the signature.
pub(crate) fn build(own: &Cert, all: &[Cert]) -> Path {
    let mut certs = vec![own.clone()];
    while let Some(last) = certs.last() {
        if last.signed_by(last) || certs.len() > 8 {
            break;
        }
        let Some(next) = all.iter().find(|c| last.signed_by(c)) else { break };
        certs.push(next.clone());
    }
    Path { certs }
}

/// Checks a path at a moment (seconds since 1970).
pub(crate) fn examine(object: &str, path: &Path, at: Option<i64>, out: &mut Vec<Statement>) {
    let before = out.len();
    let mut error = |code, sentence: String| out.push(Statement::error(code, object, sentence));
    if path.root().is_none() {
        let name = path.certs.last().map(Cert::name).unwrap_or_default();
        error(
            "certificate_path",
            format!(
                "The certificate of {name} was issued by nobody whose certificate is in the file: the path to a site authority is broken."
            ),
        );
    }
    for (i, cert) in path.certs.iter().enumerate() {
        let name = cert.name();
        if i == 0 && !cert.may_sign() {
            error(
                "certificate_use",
                format!("The certificate of {name} is not meant for signing documents."),
            );
        }
        if i > 0 {
            match cert.authority() {
                None => error(
                    "certificate_use",
                    format!("{name} issued a certificate but is not an authority."),
                ),
                Some(Some(limit)) if usize::from(limit) + 1 < i => {
                    error("certificate_use", format!("{name} may not stand that high in a path."));
                }
                Some(_) => {}
            }
        }
        if let Some(oid) = cert.unknown_critical() {
            error(
                "certificate_use",
                format!(
                    "The certificate of {name} sets a condition ({oid}) that this program does not know."
                ),
            );
        }
        let (from, to) = cert.validity();
        if at.is_some_and(|at| at < from || at > to) {
            error(
                "certificate_dates",
                format!("The certificate of {name} was not valid at the claimed time of signing."),
            );
        }
    }
    if out.len() == before {
        let names: Vec<String> = path.certs.iter().map(Cert::name).collect();
        out.push(Statement {
            code: "certificate_path",
            level: Level::Ok,
            object: object.to_owned(),
            sentence: format!("The certificates hold together: {}.", names.join(", issued by ")),
            next_step: String::new(),
        });
    }
}

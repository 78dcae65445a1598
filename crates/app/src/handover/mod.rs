//! The handover report of one dish: from documents to a view model, to PDF bytes, to entries
//! that say which file was issued and which file each signature extends.

mod agree;
mod attempts;
mod behind;
mod corrections;
mod crew;
mod figures;
mod plots;
mod proofs;
mod readings;
mod sheets;
mod source;
mod tables;
mod taken;
mod view;

use std::path::{Path, PathBuf};

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use der::{Decode as _, Encode as _};
use ledger::{Digest, Subject};
use logbook::document::ReportDoc;
use logbook::events::{ReportIssued, ReportSigned};
use logbook::rules::Act;
use logbook::{Key, Shelf};
use report::{Signer, SigningAct};
use serde::Serialize;
use x509_cert::Certificate;

use crate::error::{AppError, Result};
use crate::files;
use crate::logbook::Logbook;

pub(crate) use agree::compare;
pub(crate) use figures::{figures, in_unit};
pub(crate) use readings::answer_words;
pub(crate) use source::Source;
pub(crate) use view::places;

/// A report that was written.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Written {
    /// The report, as later entries name it.
    pub report: String,
    /// The file.
    pub file: PathBuf,
    /// SHA-256 of the file.
    pub digest: String,
    /// The report's first line: what stands and what is owed.
    pub headline: String,
    /// Signature places, in the order of signing.
    pub signatures: Vec<String>,
    /// Whether the issue was entered. A report written while nobody acts is a copy for reading.
    pub entered: bool,
}

/// A report that was made.
pub(crate) struct Issued {
    report: Subject,
    digest: Digest,
    headline: String,
    signatures: Vec<String>,
    entered: bool,
}

/// Lends a person's key to the report's signer.
struct Pen<'a>(&'a ledger::SigningKey);

impl Signer for Pen<'_> {
    fn sign(&self, message: &[u8]) -> std::result::Result<Vec<u8>, String> {
        Ok(self.0.sign(message))
    }
}

impl Logbook {
    /// Writes the handover report of a dish into a new file. Where a person acts, the issue is
    /// entered, and the report can be signed.
    ///
    /// # Errors
    /// An unknown dish, a file that exists or can't be written, a text that no font can draw.
    pub fn write_report(&mut self, dish: &str, path: &Path) -> Result<Written> {
        let issued = self.issue_report(dish, |pdf| files::write_new(path, pdf))?;
        Ok(Written {
            report: issued.report.to_string(),
            file: path.to_owned(),
            digest: issued.digest.to_string(),
            headline: issued.headline,
            signatures: issued.signatures,
            entered: issued.entered,
        })
    }

    /// Makes the handover report of a dish. `lay` puts it where the person wants it, before the
    /// issue is entered; an issued report is kept in this logbook too.
    ///
    /// # Errors
    /// An unknown dish, a text that no font can draw, what `lay` meets.
    pub(crate) fn issue_report(
        &mut self,
        dish: &str,
        lay: impl FnOnce(&[u8]) -> Result<()>,
    ) -> Result<Issued> {
        let position = self.position(dish)?;
        let subject = self.new_subject()?;
        let documents = self.store.documents();
        let source = self.source(&documents, &subject)?;
        let evidence = self.evidence(&position, &source)?;
        let view = source.view(&position, &evidence)?;
        let pdf = report::render(&view, &evidence.bytes)?;
        lay(&pdf)?;
        let signatures: Vec<String> =
            view.signature_places.iter().map(|place| place.field.clone()).collect();
        let entered = self.acting.is_some();
        if entered {
            self.keep_file(&subject, &pdf)?;
            let issued = ReportIssued {
                position: position.position.clone(),
                records: position.records.iter().map(|record| record.record.clone()).collect(),
                file: Digest::of(&pdf),
                pages: page_count(&pdf)?,
                signatures: signatures.clone(),
            };
            self.enter(&subject, &issued, &[])?;
        }
        Ok(Issued {
            report: subject,
            digest: Digest::of(&pdf),
            headline: view.headline,
            signatures,
            entered,
        })
    }

    /// Signs a place of an issued report by an appended update; the acting person signs. `from`
    /// stays as it is, so that a signature cut short in the middle is made again from it.
    ///
    /// The signed file is on the medium before the entry that names it.
    ///
    /// # Errors
    /// Nobody acts, it isn't this place's turn, or the file isn't the one that the last entry
    /// names; the file is unchanged then.
    pub fn sign_report(
        &mut self,
        report: &str,
        field: &str,
        from: &Path,
        to: &Path,
    ) -> Result<String> {
        let subject = Self::subject(report)?;
        let bytes = files::read(from)?;
        if Digest::of(&bytes) != self.report_document(&subject)?.latest_file() {
            return Err(AppError::new(
                "report.other_file",
                format!("{} is not the file that was signed last.", from.display()),
                "Take the latest file of this report, and check it with `dishwright check`.",
            ));
        }
        self.sign_file(&subject, field, &bytes, |signed| files::write_new(to, signed))?;
        Ok(report.to_owned())
    }

    /// Signs a place of an issued report on the file that this logbook keeps of it.
    ///
    /// # Errors
    /// As [`Logbook::sign_report`], and a report whose latest file is not kept here.
    pub(crate) fn sign_kept_report(&mut self, report: &Subject, field: &str) -> Result<()> {
        let bytes = self.kept_file(report)?;
        self.sign_file(report, field, &bytes, |_| Ok(()))
    }

    /// The signed file is on the medium, and where `lay` puts it, before the entry that names it.
    fn sign_file(
        &mut self,
        subject: &Subject,
        field: &str,
        bytes: &[u8],
        lay: impl FnOnce(&[u8]) -> Result<()>,
    ) -> Result<()> {
        let document = self.report_document(subject)?;
        let extends = Digest::of(bytes);
        let role = self.role()?;
        let acting = self.acting()?;
        let (root, own) = self.founding()?;
        let person = &acting.person;
        let certified = person.certified.last().ok_or_else(|| {
            AppError::internal("Signing the report", "the person has no certificate here")
        })?;
        let certificate = BASE64
            .decode(&certified.certificate)
            .map_err(|cause| AppError::internal("Reading a certificate", cause))?;
        let now = self.clock.read().claimed();
        let act = SigningAct {
            field,
            name: &person.name,
            role: role.title(),
            at: &now,
            chain: &[certificate, own, root],
        };
        let signed = report::sign(bytes, &act, &Pen(&acting.key))?;
        let entry =
            ReportSigned { field: field.to_owned(), extends, file: Digest::of(&signed), role };
        self.may(&Act::SignReport(subject, &entry))?;
        lay(&signed)?;
        self.keep_file(subject, &signed)?;
        self.enter(subject, &entry, &[])?;
        // Every file contains the one that it extends.
        self.store.delete_local(&kept_under(subject, &document.latest_file()))?;
        Ok(())
    }

    /// Keeps a file of a report beside the entries; it never travels.
    fn keep_file(&mut self, report: &Subject, pdf: &[u8]) -> Result<()> {
        Ok(self.store.put_local(&kept_under(report, &Digest::of(pdf)), pdf)?)
    }

    /// The latest file of a report.
    ///
    /// # Errors
    /// A report that this logbook did not issue, or whose latest file is not kept here.
    pub(crate) fn kept_file(&self, report: &Subject) -> Result<Vec<u8>> {
        let latest = self.report_document(report)?.latest_file();
        let kept = self.store.local(&kept_under(report, &latest))?;
        kept.filter(|pdf| Digest::of(pdf) == latest).ok_or_else(|| {
            AppError::new(
                "report.not_kept",
                "The latest file of this report is not kept in this logbook.",
                "Take the file that was handed on, or issue a fresh report.",
            )
        })
    }

    /// What the report of this moment is built from.
    pub(crate) fn source<'a>(&self, shelf: &'a dyn Shelf, report: &Subject) -> Result<Source<'a>> {
        let issuer = match &self.acting {
            Some(acting) => format!("{}, {}", acting.person.name, acting.role.title()),
            None => "nobody: a copy for reading, not issued".to_owned(),
        };
        Ok(Source {
            shelf,
            site: self.site,
            chain: self.chain,
            now: self.now()?,
            issuer,
            report: report.to_string(),
        })
    }

    pub(crate) fn report_document(&self, report: &Subject) -> Result<ReportDoc> {
        self.document(&Key::report(report))?.ok_or_else(|| {
            AppError::new(
                "report.unknown",
                format!("This logbook issued no report {report}."),
                "Write the report first, with a person acting.",
            )
        })
    }

    /// The site's root certificate as PEM: what a stranger takes as trust.
    pub fn root_pem(&self) -> Result<String> {
        let (root, _) = self.founding()?;
        let text = BASE64.encode(root);
        let lines: Vec<&str> = text
            .as_bytes()
            .chunks(64)
            .map(|line| std::str::from_utf8(line).unwrap_or_default())
            .collect();
        Ok(format!(
            "-----BEGIN CERTIFICATE-----\n{}\n-----END CERTIFICATE-----\n",
            lines.join("\n")
        ))
    }

    /// Writes the archive of all entries into a new file.
    ///
    /// # Errors
    /// A file that exists or can't be written.
    pub fn export(&self, path: &Path) -> Result<u64> {
        Ok(self.store.export(path, &mut |_| {})?)
    }
}

fn kept_under(report: &Subject, file: &Digest) -> String {
    format!("report/{report}/{file}")
}

/// The fingerprint of a root certificate's key, from PEM or DER.
pub(crate) fn root_fingerprint(file: &[u8]) -> Result<String> {
    let unreadable = || {
        AppError::new(
            "check.root",
            "The root certificate can't be read.",
            "Name a certificate in PEM or DER, as the site hands it out.",
        )
    };
    let certificate = match std::str::from_utf8(file) {
        Ok(text) if text.contains("BEGIN CERTIFICATE") => {
            let body: String =
                text.lines().filter(|line| !line.starts_with("-----")).map(str::trim).collect();
            BASE64.decode(body).map_err(|_| unreadable())?
        }
        _ => file.to_vec(),
    };
    let certificate = Certificate::from_der(&certificate).map_err(|_| unreadable())?;
    let spki = certificate.tbs_certificate.subject_public_key_info.to_der();
    Ok(Digest::of(&spki.map_err(|_| unreadable())?).to_string())
}

/// Pages of a PDF that this program has just made.
fn page_count(pdf: &[u8]) -> Result<u32> {
    report::page_count(pdf)
        .ok_or_else(|| AppError::internal("Counting the pages", "the PDF can't be read back"))
}

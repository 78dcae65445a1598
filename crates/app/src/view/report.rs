//! The handover report: what is not plain, who may sign next, what came since.

use std::path::PathBuf;

use logbook::document::{PositionDoc, RecordDoc, ReportDoc};
use logbook::events::ReportSigned;
use logbook::rules::Act;
use report::figure::Cut;
use report::model;
use serde::Serialize;
use ts_rs::TS;

use super::common::{Knowledge, Moment, Proof};
use super::eye::{Eye, capital};
use crate::error::Result;
use crate::handover::places;

/// Sign-off of a dish.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct ReportView {
    pub(crate) position: String,
    /// Issued reports, the latest first.
    pub(crate) files: Vec<ReportFile>,
    /// What a signer must know that is not plain.
    pub(crate) not_plain: Vec<NotPlain>,
    /// What was entered since the latest issue and bears on the dish.
    pub(crate) since: Vec<Since>,
    pub(crate) proofs: Vec<Proof>,
    pub(crate) face_svg: String,
    pub(crate) knowledge: Knowledge,
    pub(crate) default_save_path: String,
}

/// An issued report.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct ReportFile {
    pub(crate) report: String,
    pub(crate) file_name: String,
    pub(crate) issued: Moment,
    pub(crate) fields: Vec<SignatureField>,
}

/// A place for a signature.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct SignatureField {
    pub(crate) name: String,
    pub(crate) title: String,
    pub(crate) role: String,
    pub(crate) signed_by: Option<String>,
    pub(crate) at: Option<Moment>,
    pub(crate) may_sign: bool,
    /// Empty when the acting person may sign it now.
    pub(crate) why_not: String,
}

/// A line about something that is not plain.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct NotPlain {
    pub(crate) text: String,
    pub(crate) detail: String,
}

/// Something entered since the report was issued.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Since {
    pub(crate) at: Moment,
    pub(crate) text: String,
    pub(crate) entry: String,
    /// "T1-0371".
    pub(crate) name: String,
}

/// Where a report was saved.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct Saved {
    pub(crate) path: String,
}

/// A file's bytes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, TS)]
pub(crate) struct FileBytes {
    pub(crate) file_name: String,
    pub(crate) base64: String,
}

impl Eye<'_> {
    /// Sign-off of a dish.
    pub(crate) fn report(&self, typed: &str) -> Result<ReportView> {
        let dish = self.dish(typed)?;
        let records = self.records(&dish)?;
        let reports = self.reports_of(&dish.position)?;
        let locks = self.locks_short(&dish, &records)?;
        let (shown, face_svg) = self.face(&dish, locks.known, Cut::Medium)?;
        let in_order: Vec<RecordDoc> =
            dish.records.iter().filter_map(|record| records.get(&record.record).cloned()).collect();
        let not_plain = self.source.exceptions(&dish, &in_order, &self.site.installation)?;
        let issued = reports.first().map(|report| report.issued.number);
        let since = self
            .happened(&dish, &records)?
            .into_iter()
            .filter(|one| issued.is_some_and(|issued| one.entry.header().number() > issued))
            .map(|one| Since {
                at: self.zone.moment(&self.claimed(&one.entry)),
                text: one.text,
                entry: one.entry.id().to_string(),
                name: self.entry_name(one.entry.header().chain(), one.entry.header().number()),
            })
            .collect();
        let files = reports.iter().map(|report| self.report_file(report));
        Ok(ReportView {
            files: files.collect::<Result<_>>()?,
            not_plain: not_plain.into_iter().map(|one| self.not_plain(one)).collect(),
            since,
            proofs: self.proofs(&dish, &records, &shown)?,
            face_svg,
            knowledge: self.knowledge()?,
            default_save_path: save_path(&dish, reports.first()),
            position: dish.position,
        })
    }

    fn report_file(&self, report: &ReportDoc) -> Result<ReportFile> {
        let fields = report.fields.iter().enumerate();
        let fields = fields.map(|(place, field)| self.field(report, place, field));
        Ok(ReportFile {
            report: report.report.to_string(),
            file_name: file_name(report),
            issued: self.moment(&report.issued.claimed),
            fields: fields.collect::<Result<_>>()?,
        })
    }

    fn field(&self, report: &ReportDoc, place: usize, field: &str) -> Result<SignatureField> {
        let signed = report.signatures.get(place);
        let why_not = match (signed, &self.logbook.acting) {
            (Some(_), _) => "Signed.".to_owned(),
            (None, None) => "Nobody acts on this tablet just now. Choose who acts.".to_owned(),
            (None, Some(acting)) => {
                let latest = report.latest_file();
                let sign = ReportSigned {
                    field: field.to_owned(),
                    extends: latest,
                    file: latest,
                    role: acting.role,
                };
                self.why_not(&Act::SignReport(&report.report, &sign))?.unwrap_or_default()
            }
        };
        let meant = places().into_iter().find(|one| one.field == field);
        Ok(SignatureField {
            name: field.to_owned(),
            title: field_title(field).to_owned(),
            role: meant.map(|one| one.meaning).unwrap_or_default(),
            signed_by: signed.map(|one| self.source.who(&one.by.person, one.by.role)),
            at: signed.map(|one| self.moment(&one.by.claimed)),
            may_sign: why_not.is_empty(),
            why_not,
        })
    }

    fn not_plain(&self, one: model::Exception) -> NotPlain {
        NotPlain {
            text: format!("{}: {}", capital(self.short(&one.subject)), one.text),
            detail: one.reference,
        }
    }
}

/// What the file of a report is called when it is handed out.
pub(crate) fn file_name(report: &ReportDoc) -> String {
    let day = report.issued.claimed.day();
    format!("{}-handover-{day}.pdf", report.position)
}

/// A place in the user's own folder where no file lies yet.
fn save_path(dish: &PositionDoc, report: Option<&ReportDoc>) -> String {
    let name = report.map_or_else(|| format!("{}-handover.pdf", dish.position), file_name);
    let stem = name.trim_end_matches(".pdf");
    let home = std::env::var_os("HOME").map(PathBuf::from).unwrap_or_default();
    let free = (1..100)
        .map(|turn| match turn {
            1 => home.join(&name),
            turn => home.join(format!("{stem}-{turn}.pdf")),
        })
        .find(|path| !path.exists());
    free.unwrap_or_else(|| home.join(&name)).display().to_string()
}

/// Who signs at a place of the report, in a word.
pub(crate) fn field_title(field: &str) -> &str {
    match field {
        "crew" => "Crew",
        "supervisor" => "Supervisor",
        "owner" => "Owner",
        other => other,
    }
}

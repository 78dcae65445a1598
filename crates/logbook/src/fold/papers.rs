//! Findings and reports.

use super::{Fault, Fold, misplaced};
use crate::document::{FindingDoc, ReportDoc, SignatureDoc};
use crate::events::{FindingClosed, FindingRaised, ReportIssued, ReportSigned};
use crate::shelf::{Key, read, write};

impl Fold<'_> {
    pub(super) fn finding_raised(&mut self, event: FindingRaised) -> Result<(), Fault> {
        let finding = self.header.subject().clone();
        let key = Key::finding(&finding);
        if read::<FindingDoc>(self.shelf, &key)?.is_some() {
            return misplaced("the finding was raised before it");
        }
        let document = FindingDoc {
            finding,
            position: event.position,
            text: event.text,
            place: event.place,
            category: event.category,
            record: event.record,
            worked_at: event.worked_at,
            raised: self.stamp_as(event.role),
            done: None,
            closed: None,
        };
        Ok(write(self.shelf, &key, &document)?)
    }

    pub(super) fn finding_closed(&mut self, event: FindingClosed) -> Result<(), Fault> {
        self.bound(event.role)?;
        let key = Key::finding(self.header.subject());
        let Some(mut document) = read::<FindingDoc>(self.shelf, &key)? else {
            return misplaced("the finding was not raised before it");
        };
        if document.closed.is_some() {
            return misplaced("the finding was closed before it");
        }
        if event.done_by == self.stamp.person {
            return misplaced("the one who did the work can't verify it");
        }
        document.done = Some((event.done_by, event.done));
        document.closed = Some(self.stamp_as(event.role));
        Ok(write(self.shelf, &key, &document)?)
    }

    pub(super) fn report_issued(&mut self, event: ReportIssued) -> Result<(), Fault> {
        let report = self.header.subject().clone();
        let key = Key::report(&report);
        if read::<ReportDoc>(self.shelf, &key)?.is_some() {
            return misplaced("the report was issued before it");
        }
        let document = ReportDoc {
            report,
            position: event.position,
            records: event.records,
            file: event.file,
            pages: event.pages,
            fields: event.signatures,
            signatures: Vec::new(),
            beside: Vec::new(),
            issued: self.stamp.clone(),
        };
        Ok(write(self.shelf, &key, &document)?)
    }

    pub(super) fn report_signed(&mut self, event: ReportSigned) -> Result<(), Fault> {
        self.bound(event.role)?;
        let key = Key::report(self.header.subject());
        let Some(mut document) = read::<ReportDoc>(self.shelf, &key)? else {
            return misplaced("the report was not issued before it");
        };
        if !document.fields.contains(&event.field) {
            return misplaced(format!("the report has no signature field `{}`", event.field));
        }
        let signature = SignatureDoc {
            field: event.field,
            extends: event.extends,
            file: event.file,
            by: self.stamp_as(event.role),
        };
        // Two signatures on one file: nobody picks a winner here, one of them signs again.
        let follows = signature.extends == document.latest_file()
            && document.next_field() == Some(signature.field.as_str());
        if follows {
            document.signatures.push(signature);
        } else {
            document.beside.push(signature);
        }
        Ok(write(self.shelf, &key, &document)?)
    }
}

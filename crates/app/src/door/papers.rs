//! The handover report: issued, signed in turn, and handed out.

use std::path::Path;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;

use super::args::{PositionArgs, ReportArgs, ReportSaveArgs, ReportSignArgs};
use super::state::State;
use crate::error::{AppError, Result};
use crate::files;
use crate::logbook::Logbook;
use crate::view::report::{FileBytes, ReportView, Saved, file_name};

impl State {
    pub(super) fn report(&mut self, args: PositionArgs) -> Result<ReportView> {
        self.look(|eye| eye.report(&args.position))
    }

    pub(super) fn report_issue(&mut self, args: PositionArgs) -> Result<ReportView> {
        let logbook = self.open_mut()?;
        logbook.acting()?;
        logbook.issue_report(&args.position, |_| Ok(()))?;
        self.report(args)
    }

    /// The PIN is asked for once more: whoever signs holds the tablet now.
    pub(super) fn report_sign(&mut self, args: ReportSignArgs) -> Result<ReportView> {
        let pin = zeroize::Zeroizing::new(args.pin);
        let logbook = self.open_mut()?;
        let report = Logbook::subject(&args.report)?;
        let acting = logbook.acting()?;
        let (person, role) = (acting.person.person.clone(), acting.role);
        logbook.act_as(&person, role, &pin)?;
        logbook.sign_kept_report(&report, &args.field)?;
        self.report(PositionArgs { position: args.position })
    }

    pub(super) fn report_save(&mut self, args: ReportSaveArgs) -> Result<Saved> {
        let path = Path::new(&args.path);
        if !path.is_absolute() {
            return Err(AppError::new(
                "file.relative",
                format!("\"{}\" does not say in which folder.", args.path),
                "Give the whole path, beginning at the root of the disk.",
            ));
        }
        let bytes = self.open()?.kept_file(&Logbook::subject(&args.report)?)?;
        files::write_new(path, &bytes)?;
        Ok(Saved { path: args.path })
    }

    pub(super) fn report_bytes(&mut self, args: ReportArgs) -> Result<FileBytes> {
        let logbook = self.open()?;
        let report = Logbook::subject(&args.report)?;
        let document = logbook.report_document(&report)?;
        let bytes = logbook.kept_file(&report)?;
        Ok(FileBytes { file_name: file_name(&document), base64: BASE64.encode(bytes) })
    }
}

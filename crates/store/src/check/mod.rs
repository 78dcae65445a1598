//! The examination of a logbook: the file, its settings, every entry, attachment and document.
//!
//! Nothing here stops at the first thing found, and nothing is repaired.

mod attachments;
mod documents;
mod entries;
mod file;
pub(crate) mod finding;

use rusqlite::Connection;

use crate::config::{OnProgress, StoreConfig};
use crate::connect::{self, Kind};
use crate::error::{ReadOnly, Result, StoreError};
use crate::keys::Secret;
use crate::store::Store;
use finding::Findings;
use finding::remedy;
pub use finding::{Finding, Level};

/// How much is examined.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Depth {
    /// The file, the settings, all counts, the newest entries and a part of the others that moves
    /// on from one check to the next.
    Shallow,
    /// Every byte.
    Deep,
}

/// Where the moving part of a shallow check goes on.
const NEXT: &str = "store/check-next";

impl Store {
    /// Examines everything and returns what was found, in a fixed order. An empty list means that
    /// nothing was found, never that nothing is wrong with what wasn't examined.
    pub fn check(&mut self, depth: Depth, progress: OnProgress<'_>) -> Vec<Finding> {
        let mut findings = Findings::default();
        file::standing(self, &mut findings);
        file::every_connection(self, &mut findings);
        let from = self.local(NEXT).ok().flatten();
        let from = from.and_then(|text| String::from_utf8(text).ok()?.parse().ok()).unwrap_or(0);
        match connect::open(&self.path, &self.keyring.database, Kind::Check) {
            Ok(connection) => {
                let examined = Examined { database: self.path.display().to_string(), connection };
                let next = examined.all(depth, from, &mut findings, progress);
                // Only where the next check begins depends on this: a failure costs coverage that
                // the check after it makes up for.
                if self.writer.is_some() && depth == Depth::Shallow {
                    let _ = self.put_local(NEXT, next.to_string().as_bytes());
                }
            }
            Err(error) => opening(&self.path.display().to_string(), &error, &mut findings),
        }
        findings.finish()
    }
}

/// Examines a folder that may not even open; what stands in the way is a finding.
///
/// # Errors
/// [`StoreError::WrongPassphrase`] and [`StoreError::NotFound`]: then nothing could be examined.
pub fn check_folder(
    config: &StoreConfig,
    depth: Depth,
    progress: OnProgress<'_>,
) -> Result<Vec<Finding>> {
    match Store::open_read_only(config) {
        Ok(mut store) => Ok(store.check(depth, progress)),
        Err(error @ (StoreError::WrongPassphrase(_) | StoreError::NotFound(_))) => Err(error),
        Err(error) => {
            let mut findings = Findings::default();
            opening(&config.dir.display().to_string(), &error, &mut findings);
            if let Ok(keyring) = crate::store::open_keys(config) {
                damaged(config, &keyring.database, &mut findings);
            }
            Ok(findings.finish())
        }
    }
}

fn opening(object: &str, error: &StoreError, findings: &mut Findings) {
    findings.error(error.code(), object, error.to_string(), error.next_step());
}

/// Looks into a database that doesn't open as a logbook, as far as SQLite lets.
fn damaged(config: &StoreConfig, key: &Secret, findings: &mut Findings) {
    if let Ok(connection) = connect::open(&config.database(), key, Kind::Check) {
        file::integrity(&connection, &config.database().display().to_string(), findings);
    }
}

/// The database under examination.
pub(crate) struct Examined {
    pub(crate) database: String,
    pub(crate) connection: Connection,
}

impl Examined {
    /// Runs every part; returns where the moving part of the next shallow check begins.
    fn all(
        &self,
        depth: Depth,
        from: i64,
        findings: &mut Findings,
        progress: OnProgress<'_>,
    ) -> i64 {
        file::integrity(&self.connection, &self.database, findings);
        file::schema(self, findings);
        let next = entries::check(self, depth, from, findings, progress);
        attachments::check(self, depth, findings, progress);
        documents::check(self, depth, findings, progress);
        next
    }

    /// Runs a query whose failure is a finding.
    pub(crate) fn ask<T>(
        &self,
        doing: &str,
        findings: &mut Findings,
        ask: impl FnOnce(&Connection) -> rusqlite::Result<T>,
    ) -> Option<T> {
        match ask(&self.connection) {
            Ok(answer) => Some(answer),
            Err(cause) => {
                findings.failed(&self.database, doing, &cause);
                None
            }
        }
    }
}

/// What a store that may not be written says about itself.
fn read_only(why: &ReadOnly, object: &str, findings: &mut Findings) {
    let (code, level, advice) = match why {
        ReadOnly::Copy => ("copy", Level::Warning, remedy::OWN_CHAIN),
        ReadOnly::Restored { .. } => ("restored", Level::Warning, remedy::OWN_CHAIN),
        ReadOnly::NewerBuild { .. } => ("newer_build", Level::Note, remedy::NONE),
        ReadOnly::Asked => return,
    };
    findings.add(code, level, object, format!("The folder can't be written: {why}."), advice);
}

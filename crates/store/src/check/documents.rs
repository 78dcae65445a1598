//! The documents: covering every entry, and equal to a fold done anew. Those of another build's
//! fold are not compared; they are made anew before anyone reads them.

use std::collections::BTreeMap;

use logbook::{MemoryShelf, PROJECTION_VERSION};

use super::finding::{Findings, Level, remedy};
use super::{Depth, Examined};
use crate::config::{OnProgress, Progress};
use crate::{convert, shelf, sql};

pub(super) fn check(
    examined: &Examined,
    depth: Depth,
    findings: &mut Findings,
    progress: OnProgress<'_>,
) {
    let cover = examined.ask("Reading the documents' version", findings, shelf::cover);
    let Some(cover) = cover else { return };
    if cover.version != PROJECTION_VERSION {
        // Another build's fold is no fault: its documents are used nowhere, and opening for
        // writing makes them anew. That they can be made is worth knowing.
        if depth == Depth::Deep {
            fold_anew(examined, findings, progress);
        }
        return;
    }
    match examined.ask("Reading the documents' version", findings, shelf::is_current) {
        Some(true) if depth == Depth::Deep => compare(examined, findings, progress),
        Some(false) => findings.add(
            "documents.behind",
            Level::Warning,
            "documents",
            format!("They end at arrival {}, before the last entry.", cover.through),
            "Open the logbook for writing once; it folds what is missing.",
        ),
        _ => {}
    }
}

fn compare(examined: &Examined, findings: &mut Findings, progress: OnProgress<'_>) {
    let Some(anew) = fold_anew(examined, findings, progress) else { return };
    let stored = examined.ask("Reading the documents", findings, |connection| {
        connection
            .prepare(sql::DOCUMENTS)?
            .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?
            .collect::<rusqlite::Result<BTreeMap<String, Vec<u8>>>>()
    });
    let Some(mut stored) = stored else { return };
    for (key, wanted) in anew.documents() {
        let what = match stored.remove(key.as_str()) {
            Some(found) if found == wanted => continue,
            Some(_) => "It differs from the one folded anew.",
            None => "It is missing.",
        };
        findings.error("document.differs", key.as_str(), what, remedy::REBUILD);
    }
    for key in stored.keys() {
        findings.error("document.differs", key, "The entries don't make it.", remedy::REBUILD);
    }
}

/// Folds every entry into memory. `None` when one can't be: that is reported with the entries,
/// and documents without it can't be compared.
fn fold_anew(
    examined: &Examined,
    findings: &mut Findings,
    progress: OnProgress<'_>,
) -> Option<MemoryShelf> {
    let mut memory = MemoryShelf::new();
    let end = examined.ask("Finding the last entry", findings, |connection| {
        connection.query_row(sql::LAST_ARRIVAL, [], |row| row.get::<_, i64>(0))
    })?;
    let mut after = 0;
    while after < end {
        let page = examined.ask("Reading the entries", findings, |connection| {
            convert::rows_after(connection, after, 256)
        })?;
        after = page.last()?.arrival;
        for row in &page {
            let folded = row.entry().and_then(|entry| shelf::project(&entry, &mut memory));
            if let Err(error) = folded {
                findings.failed("documents", "Folding the entries anew", &error);
                return None;
            }
        }
        progress(Progress {
            doing: "Folding the entries anew",
            done: after.unsigned_abs(),
            of: end.unsigned_abs(),
        });
    }
    Some(memory)
}

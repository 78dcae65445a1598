//! Whether a report says what its own entries say: the entries inside it are folded, the view is
//! built again from them, and both are compared value by value.

use ledger::{Entry, SiteId, archive};
use logbook::{MemoryShelf, Moment, project};
use report::Handover;
use serde_json::Value;

use super::behind::Carried;
use super::source::Source;

/// Differences that are listed at the most; one is enough to distrust the rest.
const MOST: usize = 12;

/// What came of comparing.
pub(crate) struct Comparison {
    /// Places where the report differs from its entries, as path, entry's value, report's value.
    pub(crate) differences: Vec<String>,
    /// The version of this program that made the report, where it is another one than this.
    pub(crate) other_version: Option<String>,
}

/// Compares the view inside a report with what its entries give.
///
/// # Errors
/// A sentence that says why the two can't be compared.
pub(crate) fn compare(view: &[u8], entries: &[u8]) -> Result<Comparison, String> {
    let stated = Handover::from_json(view).map_err(|cause| format!("report.json: {cause}"))?;
    let (shelf, site, carried) = fold(entries)?;
    let now = Moment::parse(&stated.identity.issued_at).map_err(|cause| cause.to_string())?;
    let mut source = Source {
        shelf: &shelf,
        site,
        chain: ledger::ChainId::from_bytes([0; 32]),
        now,
        issuer: stated.identity.issued_by.clone(),
        report: stated.identity.report_id.clone(),
    };
    // Reports are made on the founding installation as long as there is no exchange.
    source.chain = source.site_document().map_err(|cause| cause.sentence)?.founded.chain;
    let dish = source.position(&stated.dish.position).map_err(|cause| cause.sentence)?;
    let given = source.view(&dish, &carried).map_err(|cause| cause.sentence)?;
    let value = |view: &Handover| serde_json::to_value(view).map_err(|cause| cause.to_string());
    let mut differences = Vec::new();
    differ("", &value(&given)?, &value(&stated)?, &mut differences);
    let made_by = stated.components.first().map(|part| part.version.clone()).unwrap_or_default();
    let other_version = (made_by != env!("CARGO_PKG_VERSION")).then_some(made_by);
    Ok(Comparison { differences, other_version })
}

/// Folds the entries that a report carries. Their hashes and signatures are verified elsewhere.
fn fold(entries: &[u8]) -> Result<(MemoryShelf, SiteId, Carried), String> {
    let mut shelf = MemoryShelf::new();
    let mut site = None;
    let mut carried = Carried { bytes: Vec::new(), entries: 0, bare: 0 };
    for line in archive::read_lines(entries) {
        let line = line.map_err(|cause| cause.to_string())?;
        let entry = Entry::from_stored(&line.header, line.payload.as_deref(), &line.signature)
            .map_err(|cause| cause.to_string())?;
        site.get_or_insert(*entry.header().site());
        carried.entries += 1;
        carried.bare += u64::from(entry.payload().is_none());
        project(&entry, &mut shelf).map_err(|cause| cause.to_string())?;
    }
    let site = site.ok_or_else(|| "the report carries no entry".to_owned())?;
    Ok((shelf, site, carried))
}

fn differ(path: &str, given: &Value, stated: &Value, out: &mut Vec<String>) {
    if given == stated || out.len() >= MOST {
        return;
    }
    match (given, stated) {
        (Value::Object(given), Value::Object(stated)) => {
            for (name, value) in given {
                let path = if path.is_empty() { name.clone() } else { format!("{path}.{name}") };
                differ(&path, value, stated.get(name).unwrap_or(&Value::Null), out);
            }
        }
        (Value::Array(given), Value::Array(stated)) if given.len() == stated.len() => {
            for (index, (given, stated)) in given.iter().zip(stated).enumerate() {
                differ(&format!("{path}[{}]", index + 1), given, stated, out);
            }
        }
        (Value::Array(given), Value::Array(stated)) => out.push(format!(
            "{path}: the entries give {}, the report shows {}",
            given.len(),
            stated.len()
        )),
        _ => out.push(format!("{path}: the entries give {given}, the report shows {stated}")),
    }
}

//! Whether a report says what its own entries say: the entries inside it are folded, the view is
//! built again from them, and both are compared value by value.

use acceptance::Sheet;
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use ledger::{Entry, SiteId, Subject, archive};
use logbook::document::PersonDoc;
use logbook::events::StepSheet;
use logbook::{MemoryShelf, Moment, Surroundings, project};
use report::{Handover, Signed};
use serde_json::Value;

use super::behind::Carried;
use super::source::Source;
use crate::error::AppError;

/// Differences that are listed at the most; one is enough to distrust the rest.
const MOST: usize = 12;

/// What nobody may word differently: whose it is, what was decided, and what was read.
const MUST_AGREE: [&str; 9] = [
    "site",
    "dish",
    "headline",
    "verdict",
    "criteria",
    "proofs",
    "attempts",
    "corrections",
    "evidence",
];

/// What came of comparing.
pub(crate) struct Comparison {
    /// Places where the report contradicts its entries.
    pub(crate) contradictions: Vec<String>,
    /// Places where it only uses other words, because another version made it.
    pub(crate) wordings: Vec<String>,
    /// The version that made the report, where it says that it is another one than this.
    pub(crate) other_version: Option<String>,
}

/// Compares the view inside a report, and those who signed it, with what its entries give.
///
/// # Errors
/// A sentence that says why they can't be compared.
pub(crate) fn compare(
    view: &[u8],
    entries: &[u8],
    signed: &[Signed],
) -> Result<Comparison, String> {
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
    let (wordings, mut contradictions): (Vec<String>, Vec<String>) =
        differences.into_iter().partition(|path| {
            let part = path.split(['.', '[', ':']).next().unwrap_or_default();
            other_version.is_some() && !MUST_AGREE.contains(&part)
        });
    for record in &dish.records {
        contradictions.extend(judged_again(&source, &record.record)?);
    }
    for signer in signed {
        contradictions.extend(known_signer(&source, signer)?);
    }
    Ok(Comparison { contradictions, wordings, other_version })
}

/// The verdicts that count, worked out anew from the readings.
fn judged_again(source: &Source<'_>, record: &Subject) -> Result<Vec<String>, String> {
    let said = |cause: AppError| cause.sentence;
    let record = source.record(record).map_err(said)?;
    let checklist = source.checklist_of(&record).map_err(said)?;
    let criteria = source.criteria_of(&record).map_err(said)?;
    let mut wrong = Vec::new();
    for attempt in &record.attempts {
        let Some(verdict) = attempt.verdict() else { continue };
        let around =
            Surroundings::of_verdict(source.shelf, verdict).map_err(|cause| cause.to_string())?;
        let judged = logbook::judge(&record, attempt.number, &checklist, &criteria, &around)
            .map_err(|refusal| refusal.sentence)?;
        let sheets = |of: &[StepSheet]| of.iter().map(|one| one.sheet.clone()).collect::<Vec<_>>();
        let (now, then) = (sheets(&judged.sheets), sheets(&verdict.sheets));
        let versions = |of: &[Sheet]| of.iter().map(|sheet| sheet.version).collect::<Vec<_>>();
        let same_version = versions(&now) == versions(&then);
        if judged.verdict != verdict.verdict || (same_version && now != then) {
            wrong.push(format!(
                "attempt {}: the readings give \"{}\" ({}), the verdict's entry says \"{}\" ({})",
                attempt.number,
                judged.verdict.words(),
                judged.reason.trim_end_matches('.'),
                verdict.verdict.words(),
                verdict.reason.trim_end_matches('.')
            ));
        }
    }
    Ok(wrong)
}

/// Whether the entries know the signer: the certificate, the name, and the role on that day.
fn known_signer(source: &Source<'_>, signer: &Signed) -> Result<Vec<String>, String> {
    let certificate = BASE64.encode(&signer.certificate);
    let place = format!("signature {}", signer.field);
    let mut wrong = Vec::new();
    if signer.root != source.site.to_string() {
        wrong.push(format!(
            "{place}: its certificates lead to another authority than that of the entries"
        ));
    }
    let mut person = None;
    for key in source.shelf.keys("person/").map_err(|cause| cause.to_string())? {
        let known: Option<PersonDoc> = source.document(&key).map_err(|cause| cause.sentence)?;
        person = person.or(known.filter(|person| {
            person.certified.iter().any(|certified| certified.certificate == certificate)
        }));
    }
    let Some(person) = person else {
        wrong.push(format!("{place}: its certificate is not among those that the entries name"));
        return Ok(wrong);
    };
    if person.name != signer.name {
        wrong.push(format!(
            "{place}: it shows the name {}, the entries know that person as {}",
            signer.name, person.name
        ));
    }
    let day = signer.at.and_then(|at| chrono::DateTime::from_timestamp(at, 0));
    // The day where the dish stands may be the one before or after the day in Greenwich.
    let days = day.map(|day| {
        let day = day.date_naive();
        [day.pred_opt().unwrap_or(day), day, day.succ_opt().unwrap_or(day)]
    });
    let held = person.roles.iter().any(|held| {
        held.role.title() == signer.role
            && days.is_some_and(|days| days.iter().any(|day| person.holds(held.role, *day)))
    });
    if !held {
        wrong.push(format!(
            "{place}: {} signed as {}, a role that the entries do not give on that day",
            signer.name, signer.role
        ));
    }
    Ok(wrong)
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
                let place = named(path, given).unwrap_or_else(|| (index + 1).to_string());
                differ(&format!("{path}[{place}]"), given, stated, out);
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

/// What a row of a list or a facet of the map is called: nobody counts to row 176.
fn named(path: &str, one: &Value) -> Option<String> {
    let name = match one {
        Value::Array(row) => row.first(),
        Value::Object(fields) if path.ends_with(".facets") => fields.get("id"),
        _ => None,
    };
    name?.as_str().map(str::to_owned)
}

#[cfg(test)]
mod tests {
    use report::{VerifyOptions, verify};

    use super::*;
    use crate::demo::{Story, play_story};
    use crate::vault::Cost;

    #[test]
    fn the_entries_know_who_may_have_signed_and_what_the_readings_give() {
        let folder = tempfile::TempDir::new().unwrap();
        let out = folder.path().join("out");
        let cost = store::KdfCost::TRIVIAL;
        let played = play_story(&Story::shipped(), &out, Cost::TRIVIAL, cost, &mut |_| {}).unwrap();
        let pdf = std::fs::read(&played.report).unwrap();
        let verified = verify(&pdf, &VerifyOptions::default());
        let (view, entries) = (verified.report.unwrap(), verified.entries.unwrap());
        let wrong = |change: &dyn Fn(&mut Signed)| {
            let mut signed = verified.signed.clone();
            change(&mut signed[0]);
            compare(&view, &entries, &signed).unwrap().contradictions
        };
        assert_eq!(verified.signed.len(), 2);
        assert_eq!(wrong(&|_| {}), Vec::<String>::new());
        let one = |found: Vec<String>, part: &str| {
            assert!(found.len() == 1 && found[0].contains(part), "{part}: {found:?}");
        };
        one(wrong(&|s| s.role = "supervisor".to_owned()), "a role that the entries do not give");
        one(wrong(&|s| s.certificate = vec![1]), "not among those that the entries name");
        one(wrong(&|s| s.name = "Teodoro Manquel".to_owned()), "the entries know that person as");
        one(wrong(&|s| s.root = "00".repeat(32)), "another authority");
        one(wrong(&|s| s.at = Some(0)), "a role that the entries do not give");
    }
}

//! A report that is well made and says other things than the entries inside it.

use app::Cost;
use app::demo::{Story, play_story};
use app::inspect::{InspectOptions, Inspection, Level, inspect};
use report::{Handover, VerifyOptions, render, verify};
use tempfile::TempDir;

fn check(path: &std::path::Path) -> Inspection {
    let mut ask = || Ok(String::new());
    inspect(path, &InspectOptions::default(), &mut ask, &mut |_| {}).unwrap()
}

#[test]
fn a_report_that_contradicts_its_own_entries_is_named_place_by_place() {
    let folder = TempDir::new().unwrap();
    let out = folder.path().join("out");
    let played =
        play_story(&Story::shipped(), &out, Cost::TRIVIAL, store::KdfCost::TRIVIAL, &mut |_| {})
            .unwrap();
    let signed = verify(&std::fs::read(&played.report).unwrap(), &VerifyOptions::default());
    let (view, entries) = (signed.report.unwrap(), signed.entries.unwrap());
    let true_copy = folder.path().join("true.pdf");
    let handover = Handover::from_json(&view).unwrap();
    std::fs::write(&true_copy, render(&handover, &entries).unwrap()).unwrap();
    assert_ne!(check(&true_copy).worst(), Some(Level::Error), "the same, unsigned, agrees");

    // Somebody who can make reports, and perhaps sign them, makes the end pressure look better.
    let text = String::from_utf8(view).unwrap();
    let forged = text.replace("104.7 bar", "106.7 bar");
    assert_ne!(forged, text);
    let forged = Handover::from_json(forged.as_bytes()).unwrap();
    let path = folder.path().join("forged.pdf");
    std::fs::write(&path, render(&forged, &entries).unwrap()).unwrap();
    let inspection = check(&path);
    let wrong: Vec<&str> = inspection
        .findings
        .iter()
        .filter(|finding| finding.level == Level::Error)
        .map(|finding| finding.sentence.as_str())
        .collect();
    assert!(
        wrong.iter().any(|sentence| sentence.starts_with("attempts[3].readings[")
            && sentence.contains("104.7 bar")
            && sentence.contains("106.7 bar")),
        "{wrong:#?}"
    );
    let pages = inspection.findings.iter().find(|finding| finding.object == "pages").unwrap();
    assert_eq!(pages.level, Level::Right, "pages and data agree: only the entries tell");
}

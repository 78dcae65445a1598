//! The shipped story: the leak test of PC-04 in three attempts to its signed report, and what the
//! yard looks like when the story stops.

use app::door::{Door, DoorConfig};
use serde_json::{Value, json};

use crate::folders::{copy, scratch};
use crate::played::{near, passphrase, shipped};
use crate::tool;

/// Loss of contents of helium in percent over the 12 h, barometer 862 hPa at both ends, by
/// CoolProp 8.0.0: 100·(1 − ρ(p₂, T₂)/ρ(p₁, T₁)), `PropsSI('D', 'P', p, 'T', T, 'Helium')`.
const ATTEMPT_1: f64 = 3.9765;
const ATTEMPT_3: f64 = 0.7579;

/// Wider than the rounding of a figure as printed, narrower than its last digit.
fn rounds_to(found: f64, printed: &str) -> bool {
    format!("{found:.2}") == printed
}

#[test]
fn three_attempts_fail_are_not_judged_and_pass() {
    let scene = shipped();
    let played = scene.played();
    let threads = played.by_thread();
    let order: Vec<&str> = threads.iter().map(|(thread, _)| *thread).collect();
    assert_eq!(order, ["pc-04-leak", "pc-02-performance", "pc-07-alignment"]);
    let verdicts = &threads[0].1;
    let words: Vec<&str> = verdicts.iter().map(|one| one.verdict.as_str()).collect();
    assert_eq!(words, ["fail", "not judged", "pass"]);
    assert_eq!(scene.words(), ["fail", "not_judged", "pass"], "the entries say the same");
    near(scene.loss(1), ATTEMPT_1);
    near(scene.loss(3), ATTEMPT_3);
    assert!(rounds_to(scene.loss(1), "3.98") && rounds_to(scene.loss(3), "0.76"));
    for (verdict, part) in verdicts.iter().zip(["3.98 %", "barometer", "0.76 %"]) {
        assert!(verdict.reason.contains(part), "{}", verdict.reason);
    }
    assert!(verdicts[1].reason.contains("end"), "{}", verdicts[1].reason);
    assert!(played.refused.is_empty(), "{:?}", played.refused);
}

/// The expected figures above, computed anew by the reference itself.
#[test]
fn coolprop_gives_the_expected_losses() {
    const SCRIPT: &str = r"
import sys
from CoolProp.CoolProp import PropsSI
def density(gas, bar, celsius):
    return PropsSI('D', 'P', (bar + 0.862) * 1e5, 'T', celsius + 273.15, gas)
def loss(gas, p1, t1, p2, t2):
    return 100 * (1 - density(gas, p2, t2) / density(gas, p1, t1))
print(loss('Helium', 110.2, 19.4, 103.1, 12.6), loss('Helium', 110.0, 24.0, 104.7, 12.0),
      loss('Helium', 109.6, 18.8, 106.8, 12.2), loss('Helium', 110.0, 24.0, 104.7, 13.0),
      loss('Hydrogen', 110.2, 19.4, 103.1, 12.6), loss('Nitrogen', 110.2, 19.4, 103.1, 12.6))
";
    let said = tool::text(&tool::python(), &["-c", SCRIPT]);
    let found: Vec<f64> = said.split_whitespace().map(|one| one.parse().unwrap()).collect();
    let expected = [
        ATTEMPT_1,
        ATTEMPT_3,
        crate::changed::ATTEMPT_2,
        crate::changed::ONE_KELVIN_MORE,
        crate::changed::HYDROGEN,
        crate::changed::NITROGEN,
    ];
    assert_eq!(found.len(), expected.len(), "{said}");
    for (found, expected) in found.iter().zip(expected) {
        assert!((found - expected).abs() < 0.0001, "{said}");
    }
}

#[test]
fn the_proof_of_tightness_stands_and_every_other_is_owed() {
    let scene = shipped();
    let leak = scene.proof("leak");
    assert_eq!(leak["state"], "stands", "{leak}");
    assert_eq!(leak["attempt"], 3, "{leak}");
    let id = |name: &str| leak[name].as_str().unwrap().to_owned();
    let entry = |id: &str| scene.contents.entries.iter().find(|one| one.id == id).unwrap();
    let (first, closing) = (id("first"), id("closing"));
    let (first, closing) = (entry(&first), entry(&closing));
    assert_eq!((first.kind.as_str(), first.person.as_str()), ("attempt_started", "P-03"));
    assert_eq!((closing.kind.as_str(), closing.person.as_str()), ("record_reviewed", "P-02"));
    assert_eq!(closing.payload["decision"], "accept");
    let serials: Vec<&str> = leak["serials"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| one["serial"].as_str().unwrap())
        .collect();
    assert_eq!(serials, ["EN-0339", "GS-0287", "RC-0412"]);

    // One accepted record for each of three dishes, and nothing else is proven by the story.
    for (dish, requirement, attempt) in [("PC-02", "performance", 2), ("PC-07", "alignment", 2)] {
        let proof = scene.proof_of(dish, requirement);
        assert_eq!((&proof["state"], &proof["attempt"]), (&json!("stands"), &json!(attempt)));
    }
    assert_eq!(scene.proof_of("PC-03", "leak")["state"], "owed", "its hold runs");

    let report = report_data();
    let (mut stand, mut owed) = (Vec::new(), 0);
    for proof in report["proofs"].as_array().unwrap() {
        match proof["state"].as_str().unwrap() {
            "stands" => stand.push(proof["requirement"].as_str().unwrap()),
            "owed" => owed += 1,
            other => panic!("{other}: {proof}"),
        }
    }
    assert_eq!(stand, ["leak"]);
    assert!(owed > 5, "only {owed} other proofs");
}

/// The data embedded in the report, taken out by qpdf.
fn report_data() -> Value {
    let pdf = &shipped().played().report;
    let text = tool::text("qpdf", &["--show-attachment=report.json", tool::arg(pdf)]);
    serde_json::from_str(&text).unwrap()
}

#[test]
fn all_that_was_left_behind_is_verified() {
    let played = shipped().played();
    assert!(played.verified, "{:#?}", played.seen);
    for what in ["report: signature crew", "report: signature supervisor", "report: pages"] {
        assert!(played.seen.iter().any(|seen| seen.what == what && seen.right), "{what}");
    }
    for file in [&played.report, &played.root, &played.archive, &played.passphrase_file] {
        assert!(std::fs::metadata(file).unwrap().len() > 0, "{}", file.display());
    }
}

/// Nothing is entered by nobody: all but founding and certificates name a person; the performer,
/// the reviewer and the two witnesses' entries carry their own signatures.
#[test]
fn binding_entries_carry_the_persons_own_signature() {
    let scene = shipped();
    for kind in ["attempt_finished", "record_reviewed", "step_witnessed", "report_signed"] {
        let mut seen = 0;
        for entry in scene.contents.of_kind(kind) {
            let header: Value = serde_json::from_slice(&entry.header).unwrap();
            assert!(header["bond"]["signature"].is_string(), "{kind} of {}", entry.claimed);
            seen += 1;
        }
        assert!(seen >= 2, "{kind}: {seen}");
    }
    let nobody = |kind: &str| matches!(kind, "found" | "person_enrolled" | "person_certified");
    for entry in &scene.contents.entries {
        assert!(!entry.person.is_empty() || nobody(&entry.kind), "{} by nobody", entry.kind);
    }
}

/// The window opens on a Friday morning: one hold runs, findings are open, and what is accepted
/// asks for nothing.
#[test]
fn whoever_opens_the_folder_finds_the_yard_as_the_story_left_it() {
    let folder = scratch("opened");
    copy(&shipped().out, &folder);
    let door = Door::new(DoorConfig { data: folder, secrets: None, demo: true }).unwrap();
    let session = door.call("unlock", json!({ "passphrase": passphrase() })).unwrap();
    let now = session["now"].to_string();
    assert!(now.contains("06:4") && now.contains("11 Sep"), "{now}");

    let yard = door.call("yard", json!({})).unwrap();
    assert_eq!(yard["dishes"].as_array().unwrap().len(), 12);
    let lines: Vec<(&str, &str)> = yard["list"]
        .as_array()
        .unwrap()
        .iter()
        .map(|item| (item["position"].as_str().unwrap(), item["reason"].as_str().unwrap()))
        .collect();
    let of = |dish: &str| -> Vec<&str> {
        lines.iter().filter(|(of, _)| *of == dish).map(|(_, reason)| *reason).collect()
    };
    assert!(of("PC-11")[0].contains("cracked in transport"), "{lines:?}");
    let [hold] = of("PC-03")[..] else { panic!("{lines:?}") };
    assert!(hold.contains("hold runs") && hold.contains("06:50"), "{hold}");
    let [sign] = of("PC-04")[..] else { panic!("{lines:?}") };
    assert!(sign.contains("signs next"), "the owner's place is free: {sign}");
    for quiet in ["PC-02", "PC-07"] {
        assert_eq!(of(quiet), [""; 0], "{lines:?}");
    }
}

//! A lockout kept as a record: the report says that it is a record only, and shows the sky.

use app::inspect::{InspectOptions, Level, inspect};
use logbook::source::{Asks, Checklist};
use report::model::Figure;
use report::{Handover, VerifyOptions, verify};
use serde_json::json;

use crate::site::Site;

fn shipped(name: &str) -> String {
    std::fs::read_to_string(format!("{}/../../checklists/{name}", env!("CARGO_MANIFEST_DIR")))
        .unwrap()
}

/// A record of the focal-zone lockout on PC-09 with the three figures that place the sun, judged.
fn locked_out() -> Site {
    let mut site = Site::found();
    site.act_as_lead();
    site.ask(json!({
        "do": "describe_site", "latitude": "-23.10 °", "longitude": "-69.60 °",
        "altitude": "1350 m", "time_zone": "America/Santiago", "plan": [],
        "emergency": { "number": "555-0100", "rescue_plan": "at the gate" }
    }))
    .unwrap();
    for (what, name) in [
        ("criteria", "criteria.toml"),
        ("retest_rules", "retest-rules.toml"),
        ("checklist", "p02-focal-zone-lockout.toml"),
    ] {
        site.ask(json!({ "do": "adopt", "what": what, "content": shipped(name) })).unwrap();
    }
    site.ask(json!({
        "do": "register_position", "position": "PC-09", "cluster": "PC", "dish_type": "LV-3"
    }))
    .unwrap();
    let opened = site
        .ask(json!({
            "do": "open_record", "position": "PC-09", "checklist": "p02-focal-zone-lockout",
            "criteria": "dish-acceptance"
        }))
        .unwrap();
    let opened = serde_json::to_value(&opened).unwrap();
    let record = opened["subject"].as_str().unwrap();
    site.ask(json!({ "do": "start_attempt", "record": record })).unwrap();
    let read = [("job-length", "30 h"), ("park-azimuth", "180 °"), ("park-elevation", "3 °")];
    let list = Checklist::parse("p02", &shipped("p02-focal-zone-lockout.toml")).unwrap();
    for step in list.steps.iter().filter(|step| step.asks.takes_answer() && !step.optional) {
        let typed = match (read.iter().find(|(id, _)| *id == step.id), &step.asks) {
            (Some((_, typed)), _) => json!({ "read": typed }),
            (None, Asks::Choice(choice)) => json!({ "choose": choice.options[1].id }),
            (None, _) => json!({ "missing": "a drill: only the sun is looked at" }),
        };
        site.ask(json!({ "do": "answer", "record": record, "step": step.id, "typed": typed }))
            .unwrap();
    }
    site.ask(json!({ "do": "finish", "record": record })).unwrap();
    site.ask(json!({ "do": "judge", "record": record })).unwrap();
    site
}

#[test]
fn a_lockout_record_says_what_it_is_and_shows_the_sun_over_the_job() {
    let mut site = locked_out();
    let folder = tempfile::TempDir::new().unwrap();
    let path = folder.path().join("PC-09.pdf");
    site.logbook.write_report("PC-09", &path).unwrap();
    let mut ask = || Ok(String::new());
    let seen = inspect(&path, &InspectOptions::default(), &mut ask, &mut |_| {}).unwrap();
    assert_ne!(seen.worst(), Some(Level::Error), "{:#?}", seen.findings);
    let verified = verify(&std::fs::read(&path).unwrap(), &VerifyOptions::default());
    let handover = Handover::from_json(&verified.report.unwrap()).unwrap();
    let attempt = &handover.attempts[0];
    assert!(attempt.notice.starts_with("A record only, not a lock register"), "{}", attempt.notice);
    // It is no proof that the dish owes.
    assert!(handover.proofs.iter().all(|proof| proof.requirement != attempt.requirement));
    let sky = handover
        .sheets
        .iter()
        .flat_map(|sheet| &sheet.figures)
        .find_map(|figure| match figure {
            Figure::Sky(sky) => Some(sky),
            _ => None,
        })
        .unwrap();
    assert_eq!((sky.axis.azimuth.parse(), sky.axis.elevation.parse()), (Ok(180.0), Ok(3.0)));
    assert_eq!(sky.margin_label, "30° free");
    // 30 h from 7 in the morning: the sun is up twice, with a night between.
    assert_eq!(sky.sun.len(), 2);
    let ends = |arc: &[report::model::SkyPlace]| -> (f32, f32) {
        let elevation = |place: Option<&report::model::SkyPlace>| {
            place.unwrap().elevation.parse::<f32>().unwrap()
        };
        (elevation(arc.first()), elevation(arc.last()))
    };
    // The first day ends at the horizon, the second begins there.
    assert!(ends(&sky.sun[0]).1.abs() < 1.0 && ends(&sky.sun[1]).0.abs() < 1.0, "{sky:?}");
    assert!(sky.begins.as_ref().is_some_and(|mark| mark.label == "07:00"), "{:?}", sky.begins);
    let nearest = sky.nearest.as_ref().unwrap();
    assert!(nearest.label.ends_with('°'), "{nearest:?}");
    // The angle at its place by the cosine rule of the sphere.
    let number = |text: &str| text.parse::<f64>().unwrap().to_radians();
    let (a, e) = (number(&nearest.place.azimuth), number(&nearest.place.elevation));
    let (am, em) = (180.0_f64.to_radians(), 3.0_f64.to_radians());
    let cosine = em.sin() * e.sin() + em.cos() * e.cos() * (a - am).cos();
    let stated: f64 = nearest.label.trim_end_matches('°').parse().unwrap();
    assert!((cosine.acos().to_degrees() - stated).abs() < 0.1, "{nearest:?}");
    if let Ok(keep) = std::env::var("DISHWRIGHT_KEEP") {
        std::fs::copy(&path, keep).unwrap();
    }
}

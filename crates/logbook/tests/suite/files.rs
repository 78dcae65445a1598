//! The shipped files, their schemas, and what is said about bad ones.

use std::path::{Path, PathBuf};

use logbook::source::{Asks, Checklist, Criteria, DishDesign, RetestRules, schemas};

use crate::site::{CHECKLIST, CRITERIA, OTHERS, RETEST};

fn schema_file(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../schema/json/checklists")
        .join(format!("{name}.json"))
}

/// The schemas on file are those of the types; `DISHWRIGHT_BLESS=1` writes them.
#[test]
fn schemas_on_file_are_current() {
    for (name, schema) in schemas() {
        let mut text = serde_json::to_string_pretty(&schema).unwrap();
        text.push('\n');
        let path = schema_file(name);
        if std::env::var_os("DISHWRIGHT_BLESS").is_some() {
            std::fs::create_dir_all(path.parent().unwrap()).unwrap();
            std::fs::write(&path, &text).unwrap();
        }
        let on_file = std::fs::read_to_string(&path).unwrap_or_default();
        assert!(on_file == text, "{} is stale: run with DISHWRIGHT_BLESS=1", path.display());
    }
}

fn as_json(text: &str) -> serde_json::Value {
    toml::from_str(text).unwrap()
}

#[test]
fn an_independent_validator_accepts_the_shipped_files() {
    for (name, text) in [("checklist", CHECKLIST), ("criteria", CRITERIA), ("retest-rules", RETEST)]
    {
        let schema = serde_json::to_value(logbook::source::schema(name).unwrap()).unwrap();
        let validator = jsonschema::validator_for(&schema).unwrap();
        let problems: Vec<String> =
            validator.iter_errors(&as_json(text)).map(|error| error.to_string()).collect();
        assert!(problems.is_empty(), "{name}: {problems:#?}");
    }
}

#[test]
fn the_validator_refuses_what_the_parser_refuses() {
    let schema = serde_json::to_value(logbook::source::schema("checklist").unwrap()).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for (from, to) in [
        ("proves = \"leak\"\n", ""),
        ("proves = \"leak\"", "proofs = \"leak\""),
        ("asks.confirm = {}", "asks.konfirm = {}"),
        ("roles = [\"gas_technician\"]", "roles = [\"gasser\"]"),
        ("late_after_hours = 24", "late_after_hours = \"24 h\""),
    ] {
        let bad = CHECKLIST.replacen(from, to, 1);
        assert_ne!(bad, CHECKLIST, "{from}");
        assert!(!validator.is_valid(&as_json(&bad)), "{to}");
        assert!(Checklist::parse("bad.toml", &bad).is_err(), "{to}");
    }
}

#[test]
fn the_shipped_files_hold_together() {
    let criteria = Criteria::parse("criteria.toml", CRITERIA).unwrap();
    let checklist = Checklist::parse_with("p06-gas-leak-test.toml", CHECKLIST, &criteria).unwrap();
    RetestRules::parse("retest-rules.toml", RETEST).unwrap();
    assert_eq!(checklist.interruption.restart_from, "start-gauge");
    assert_eq!(checklist.step("start-gauge").unwrap().number, "6.1");
    let kinds = [
        "confirm",
        "reading",
        "choice",
        "photo",
        "hold",
        "table",
        "calculation",
        "witness",
        "signature",
    ];
    for kind in kinds {
        assert!(checklist.steps.iter().any(|step| step.asks.name() == kind), "{kind}");
    }
    let (_, calculated) = checklist.calculations().next().unwrap();
    assert_eq!(calculated.name, "pressure-decay");
    assert!(matches!(checklist.step("gas").unwrap().asks, Asks::Choice(_)));
}

/// The other checklists: form, limits, and every path of every mapping a field of the calculation.
#[test]
fn every_shipped_checklist_holds_together() {
    let criteria = Criteria::parse("criteria.toml", CRITERIA).unwrap();
    let schema = serde_json::to_value(logbook::source::schema("checklist").unwrap()).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    for (file, text) in OTHERS {
        let checklist = Checklist::parse_with(file, text, &criteria)
            .unwrap_or_else(|problems| panic!("{file}: {problems}"));
        let problems: Vec<_> =
            validator.iter_errors(&as_json(text)).map(|error| error.to_string()).collect();
        assert!(problems.is_empty(), "{file}: {problems:#?}");
        assert_eq!(format!("{}.toml", checklist.id), file);
        for (step, calculated) in checklist.calculations() {
            let calculation = acceptance::calculation(&calculated.name).unwrap();
            for path in calculated.inputs.keys() {
                let mut input = serde_json::json!("x");
                for part in path.rsplit('.') {
                    input = serde_json::json!({ part: input });
                }
                let refused = calculation.run(&input).err().map(|refusal| refusal.code);
                let what = format!("{file}, step {}: {path}", step.id);
                assert_ne!(refused.as_deref(), Some("unknown_field"), "{what}");
            }
        }
        // What the list judges by a reading or a choice can be answered before it is judged.
        for acceptance in &checklist.acceptance {
            if let logbook::source::Compared::AtMost(step)
            | logbook::source::Compared::Confirmed(step)
            | logbook::source::Compared::AtLeast(step) = &acceptance.by
            {
                assert!(!checklist.step(step).unwrap().optional, "{file}: {step}");
            }
        }
    }
}

/// Every shipped checklist is named in the tests, so that none is shipped unread.
#[test]
fn no_shipped_checklist_is_forgotten() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../checklists");
    for entry in std::fs::read_dir(folder).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let named = OTHERS.iter().any(|(file, _)| *file == name)
            || ["p06-gas-leak-test.toml", "criteria.toml", "retest-rules.toml"]
                .contains(&name.as_str());
        assert!(named, "{name}");
    }
}

/// What the invented dish says beyond places is read, kept and passed on as it stands; a design
/// without it is what it was.
#[test]
fn a_design_may_say_how_facets_are_held_and_what_the_light_is() {
    let text = include_str!("../../../../demo-site/lv-3-dish.toml");
    let schema = serde_json::to_value(logbook::source::schema("dish-design").unwrap()).unwrap();
    let validator = jsonschema::validator_for(&schema).unwrap();
    assert!(validator.is_valid(&as_json(text)));
    let design = DishDesign::parse("lv-3-dish.toml", text).unwrap();
    let studs = design.adjusters.as_ref().unwrap();
    assert_eq!((studs.studs.len(), studs.thread_pitch.as_str()), (3, "1.0 mm"));
    assert_eq!(design.light.as_ref().unwrap().aperture_radius.as_deref(), Some("95 mm"));
    let (from, to) = (text.find("[adjusters]").unwrap(), text.find("[[rack]]").unwrap());
    let bare = DishDesign::parse("bare.toml", &(text[..from].to_owned() + &text[to..])).unwrap();
    let kept = serde_json::to_string(&bare).unwrap();
    for part in ["adjusters", "light", "turned"] {
        assert!(!kept.contains(&format!("\"{part}\"")), "{part}");
    }
}

/// Studs that could send a crew the wrong way are refused at adoption, with their place.
#[test]
fn studs_of_a_design_are_checked_before_it_is_adopted() {
    let text = include_str!("../../../../demo-site/lv-3-dish.toml");
    let line_of = |part: &str| text[..text.find(part).unwrap()].matches('\n').count() + 1;
    let last = r#"distance = "0.22 m"
bearing = "240 °"

# Invented: for"#;
    for (from, to, line, what) in [
        ("raises = \"clockwise\"", "raises = \"left\"", "raises =", "unknown variant"),
        ("thread_pitch = \"1.0 mm\"", "thread_pitch = \"8 N\"", "thread_pitch", "can't be read"),
        (
            last,
            &last.replace("240", "60").replace("0.22", "0.11"),
            "[[adjusters.studs]]",
            "in a line",
        ),
        ("name = \"C\"", "name = \"A\"", "[[adjusters.studs]]", "name of its own"),
        ("keeps =", "fixed_stud = \"D\" #", "keeps =", "No stud is called"),
        ("irradiance = \"950 W/m²\"", "irradiance = \"0 W/m²\"", "irradiance", "more than zero"),
    ] {
        let bad = text.replacen(from, to, 1);
        assert_ne!(bad, text, "{from}");
        let problems = DishDesign::parse("bad.toml", &bad).unwrap_err();
        let [problem] = problems.0.as_slice() else { panic!("{to}: {problems}") };
        assert!(problem.what.contains(what), "{to}: {problem}");
        assert!(problem.line == line_of(line), "{to}: {problem}");
    }
}

/// Every path of the mapping is a field of the calculation's own input schema.
#[test]
fn the_mapping_names_fields_that_the_calculation_has() {
    let alignment = OTHERS.iter().find(|(name, _)| name.starts_with("p09")).unwrap();
    for (name, text) in [("p06-gas-leak-test.toml", CHECKLIST), *alignment] {
        let checklist = Checklist::parse(name, text).unwrap();
        for (_, calculated) in checklist.calculations() {
            let schema = acceptance::calculation(&calculated.name).unwrap().input_schema();
            let text = schema.to_string();
            for part in calculated.inputs.keys().flat_map(|path| path.split('.')) {
                assert!(text.contains(&format!("\"{part}\"")), "{name}: {part}");
            }
        }
    }
}

#[test]
fn every_problem_is_named_with_its_place() {
    let mut bad = CHECKLIST.replacen("proves = \"leak\"", "proves = \"leak\"\ncolour = \"red\"", 1);
    bad = bad.replacen("restart_from = \"raise-5\"", "restart_from = \"raise-6\"", 1);
    bad = bad.replacen("[recurrence]", "[recurrence]\ncolour = 3", 1);
    let problems = Checklist::parse("bad.toml", &bad).unwrap_err();
    let line_of = |needle: &str| bad.lines().position(|line| line.contains(needle)).unwrap() + 1;
    let text = problems.to_string();
    assert_eq!(problems.0.len(), 2, "{text}");
    assert!(
        text.contains(&format!(
            "bad.toml:{}:1: unknown field `colour`",
            line_of("colour = \"red\"")
        )),
        "{text}"
    );
    assert!(
        text.contains(&format!("bad.toml:{}:1: unknown field `colour`", line_of("colour = 3"))),
        "{text}"
    );

    // With the form in order, every dangling name is found.
    let bad = CHECKLIST
        .replacen("restart_from = \"raise-5\"", "restart_from = \"raise-6\"", 1)
        .replacen("instrument = \"gauge\"", "instrument = \"gage\"", 1)
        .replacen("{ answer = \"end-gauge\" }", "{ answer = \"end-gage\" }", 1)
        .replacen("{ table = \"sniff\" }", "{ table = \"isolate\" }", 1);
    let problems = Checklist::parse("bad.toml", &bad).unwrap_err();
    let text = problems.to_string();
    assert_eq!(problems.0.len(), 4, "{text}");
    for named in ["no step `raise-6`", "no `gage`", "no step `end-gage`", "a table step is needed"]
    {
        assert!(text.contains(named), "{named} in {text}");
    }
    assert!(problems.0.iter().all(|problem| problem.line > 1 && problem.column >= 1), "{text}");
}

#[test]
fn problems_in_several_steps_are_named_at_once() {
    let bad = CHECKLIST
        .replacen("asks.confirm = {}", "asks.confirm = { loud = \"yes\" }", 1)
        .replacen("unit = \"L\"", "unit = 3", 1);
    let problems = Checklist::parse("bad.toml", &bad).unwrap_err();
    assert_eq!(problems.0.len(), 2, "{problems}");
}

#[test]
fn limits_that_the_criteria_lack_are_named() {
    let fewer = CRITERIA.replacen("id = \"leak-stage-wait\"", "id = \"leak-stage-pause\"", 1);
    let criteria = Criteria::parse("criteria.toml", &fewer).unwrap();
    let problems = Checklist::parse_with("p06.toml", CHECKLIST, &criteria).unwrap_err();
    assert_eq!(problems.0.len(), 8, "{problems}");
    let doubled = CRITERIA.replacen("id = \"leak-joints\"", "id = \"leak-loss\"", 1);
    assert!(Criteria::parse("criteria.toml", &doubled).unwrap_err().to_string().contains("twice"));
}

#[test]
fn syntax_errors_have_their_place() {
    let problems = Criteria::parse("criteria.toml", "format = 1\nid = \n").unwrap_err();
    assert_eq!(problems.0[0].line, 2, "{problems}");
    let retest = RETEST.replacen("leak = {", "leek = {", 1);
    assert!(RetestRules::parse("r.toml", &retest).unwrap_err().to_string().contains("leek"));
}

/// The performance run fits the criteria that are shipped with it, and each of its limits stands
/// there.
#[test]
fn the_performance_run_fits_its_criteria() {
    let criteria = Criteria::parse("criteria.toml", CRITERIA).unwrap();
    let text = include_str!("../../../../checklists/p13-performance-run.toml");
    let checklist = Checklist::parse_with("p13-performance-run.toml", text, &criteria)
        .unwrap_or_else(|problems| panic!("{problems}"));
    assert_eq!(checklist.proves, "performance");
    for wanted in ["limit = \"", "limit-source = \"", "limit-rule = \""] {
        for part in text.split(wanted).skip(1) {
            let id = part.split('"').next().unwrap();
            assert!(criteria.limit(id).is_some(), "{id}");
        }
    }
}

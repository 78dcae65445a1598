//! Every screen in every size and theme: a picture of each, and what is wrong with it.

use crate::driver::Front;
use crate::imports;
use crate::pictures::Findings;
use crate::reading::go_to;
use crate::site::{file, person};
use crate::stage::Stage;

/// Before and without a record: opening, people, yard, boards, a dish, its report.
#[tokio::test]
async fn the_places_can_be_read_and_touched() {
    let mut findings = Findings::default();
    let stage = Stage::closed("places", Front::Browser).await;
    let page = &stage.page;
    page.heading("Open the logbook").await;
    findings.look(page, "unlock").await;
    stage.unlock().await;
    page.see("Ivana Brize").await;
    findings.look(page, "people").await;
    let performer = person("P-03");
    page.press_beginning("button", performer.name).await;
    page.heading(performer.name).await;
    findings.look(page, "people-pin").await;
    page.press("button", "Not me").await;
    stage.act_as(&performer, "gas technician").await;
    page.heading("Yard").await;
    page.see("PC-06-J").await;
    findings.look(page, "yard").await;
    for (place, seen) in [
        ("locks", "Locks"),
        ("ledger", "Ledger"),
        ("exchange", "T1"),
        ("calculations", "Gas density"),
        ("no/such/place", "Yard"),
    ] {
        page.go(place).await;
        page.see(seen).await;
        findings.look(page, &place.replace('/', "-")).await;
    }
    for dish in ["PC-04", "PC-07", "PC-11"] {
        page.go(&format!("dish/{dish}")).await;
        page.see("Owes, and why").await;
        findings.look(page, &format!("dish-{dish}")).await;
    }
    page.go("report/PC-04").await;
    page.see("First, what is not plain").await;
    findings.look(page, "sign-off").await;
    findings.are_none();
}

/// A record from its cautions to a running hold, and one that was judged and reviewed.
#[tokio::test]
async fn a_record_can_be_read_and_touched() {
    let mut findings = Findings::default();
    let stage = Stage::open("record", Front::Browser).await;
    let page = &stage.page;
    stage.act_as(&person("P-03"), "gas technician").await;
    page.heading("Yard").await;
    page.press_beginning("link", "PC-06-J").await;
    page.press("button", "Start: leak").await;
    page.find("button", "Start attempt 1").await;
    findings.look(page, "record-begin").await;
    page.press("button", "Start attempt 1").await;
    page.heading("Everything that must stand beforehand").await;
    findings.look(page, "step-confirm").await;
    page.press("link", "Note the weather").await;
    page.press("textbox", "Gust at focal height, as seen now").await;
    page.keys("7.3 m/s").await;
    page.press("button", "Note the weather").await;
    page.see("7.3 m/s, Fri 11 Sep").await;
    findings.look(page, "weather").await;
    page.press("button", "Back to the work").await;
    for (number, title, name) in [
        ("0.2", "Gas in the circuit", "step-choice"),
        ("1.1", "Joint inspection before pressure", "step-table"),
        ("1.2", "Photo of the joints", "step-photo"),
        ("2.2", "Wait at 5 bar(g)", "step-hold"),
        ("11.1", "Owner's witness", "step-witness"),
        ("11.2", "Signature of the performer", "step-signature"),
        ("6.1", "Gauge pressure at the start", "step-reading"),
    ] {
        go_to(page, number, title).await;
        findings.look(page, name).await;
    }
    page.press_beginning("button", "PG-03").await;
    page.keys("1595").await;
    page.see("Is that psi?").await;
    findings.look(page, "step-reading-question").await;
    page.press("button", "It is bar(g). Say why").await;
    page.focused("Why it is kept all the same").await;
    findings.look(page, "step-reading-reason").await;
    page.press("link", "Whole form").await;
    page.heading("Whole form").await;
    findings.look(page, "whole-form").await;
    page.go("yard").await;
    page.press_beginning("link", "PC-03, Gas system leak test").await;
    page.see("held of 12:00").await;
    findings.look(page, "hold-running").await;
    page.go("dish/PC-04").await;
    page.press("link", "Open: leak").await;
    page.press("button", "Back to the work").await;
    page.see("Within the limits").await;
    findings.look(page, "verdict").await;
    let record = page.place().await.replace("record/", "");
    page.go(&format!("review/{record}")).await;
    page.heading("Review").await;
    page.see("What was done").await;
    findings.look(page, "review").await;
    findings.are_none();
}

/// Surveys and series, and the map of the facets.
#[tokio::test]
async fn what_comes_in_many_can_be_read_and_touched() {
    let mut findings = Findings::default();
    let stage = Stage::open("many", Front::Browser).await;
    let page = &stage.page;
    imports::start(&stage, "optics technician", "alignment").await;
    go_to(page, "2.1", "As found, all facets").await;
    findings.look(page, "survey-ways").await;
    page.press_beginning("radio", "By hand").await;
    page.see("0 measured").await;
    findings.look(page, "survey-map").await;
    page.press_beginning("button", "R07/F12").await;
    page.heading("R07 / F12").await;
    findings.look(page, "survey-facet").await;
    page.press("button", "Take a file instead").await;
    page.press("radio", "From a file").await;
    page.upload("Choose the file", &file("files/pc-07-as-found.csv")).await;
    page.see("252 of 252 rows used").await;
    findings.look(page, "survey-file").await;
    page.go("dish/PC-07").await;
    page.press("link", "Open: alignment").await;
    page.press_beginning("link", "6.1 As left, all facets").await;
    page.press("link", "Map of the facets").await;
    page.see("measured").await;
    findings.look(page, "alignment").await;
    page.go("dish/PC-07").await;
    page.press("link", "Open: alignment").await;
    page.press_beginning("link", "7.1 Errors as left").await;
    page.see("Facet alignment, version 2").await;
    findings.look(page, "step-calculation").await;
    findings.are_none();
}

/// Files of a logger and a meter, and a calculation by hand.
#[tokio::test]
async fn files_and_calculations_can_be_read_and_touched() {
    let mut findings = Findings::default();
    let stage = Stage::open("files", Front::Browser).await;
    let page = &stage.page;
    imports::start(&stage, "performance engineer", "performance").await;
    go_to(page, "2.6", "Data of the first run").await;
    findings.look(page, "series-empty").await;
    page.upload("Choose the files", &file("files/pc-02-run-1-logger.csv")).await;
    page.see("At which offset from UTC are the stamps?").await;
    findings.look(page, "series-question").await;
    page.choose("Its clock stands at UTC", "−04:00").await;
    page.press_last("button", "End of its interval").await;
    page.see("150 of 150 rows used").await;
    findings.look(page, "series-file").await;
    page.go("calculations/parking-window").await;
    page.see("smallest angle").await;
    findings.look(page, "calculation").await;
    findings.are_none();
}

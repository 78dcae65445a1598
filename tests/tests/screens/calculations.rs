//! Calculations by hand: one opened from the step of a leak test, rows from a spreadsheet, and every
//! one of them with an example filled in.

use acceptance::{Calculation, Sheet, Verdict};
use fantoccini::key::Key;
use serde_json::json;

use crate::driver::Front;
use crate::page::Page;
use crate::pictures::Findings;
use crate::site::person;
use crate::stage::Stage;

/// Figures that are shown.
async fn figures(page: &Page) -> u64 {
    let script = "return document.querySelectorAll('figure svg').length";
    page.run(script, Vec::new()).await.as_u64().unwrap()
}

async fn opened_from_a_leak_test(front: Front) {
    let stage = Stage::open("calculation-of-step", front).await;
    let page = &stage.page;
    stage.act_as(&person("P-02"), "supervisor").await;
    page.heading("Yard").await;
    page.go("dish/PC-04").await;
    page.press("link", "Open: leak").await;
    page.press("button", "Back to the work").await;
    page.see("Within the limits").await;
    let entries = count(page).await;
    page.press("link", "Whole form").await;
    page.press_beginning("link", "9.1 Loss of contents").await;
    page.press("link", "Open this calculation").await;

    // Filled with what the step gave; it says so, and that nothing is entered.
    page.see("From PC-04, leak, attempt 3, step 9.1.").await;
    page.see("Nothing here is entered into the ledger.").await;
    page.holds("Elapsed", "12 h").await;
    page.press("button", "Calculate").await;
    page.heading("Within the limit").await;
    assert!(figures(page).await >= 1);

    // A wrong unit is refused at that very field, which has the keyboard; nothing typed is lost.
    page.replace("Elapsed", "12 bar").await;
    page.see("Values were changed here.").await;
    page.press("button", "Calculate").await;
    page.focused("Elapsed").await;
    page.holds("Elapsed", "12 bar").await;
    let at = "return document.activeElement.closest('[data-field]')
        ?.querySelector('[role=\"alert\"]')?.textContent ?? ''";
    let said = page.run(at, Vec::new()).await;
    assert!(said.as_str().unwrap().contains("12 bar"), "{said}");

    // Half the hold that is required: not judged, with the reason.
    page.replace("Elapsed", "6 h").await;
    page.press("button", "Calculate").await;
    page.heading("Not judged").await;

    // What is typed stays when the page is left, and the step's own values come back.
    page.press("link", "Back to the step").await;
    page.heading("Loss of contents and its uncertainty").await;
    page.press("link", "Open this calculation").await;
    page.holds("Elapsed", "6 h").await;
    page.press("button", "Take the step's values again").await;
    page.holds("Elapsed", "12 h").await;

    // An example takes the place of what is typed only after a question.
    page.replace("Elapsed", "11 h").await;
    page.press("button", "Fill in an example").await;
    page.press("button", "Helium pass").await;
    page.press("button", "Keep what is typed").await;
    page.holds("Elapsed", "11 h").await;
    page.press("button", "Helium pass").await;
    page.press("button", "Replace it").await;
    page.holds("Elapsed", "12 h").await;
    page.press("button", "Calculate").await;
    page.heading("Within the limit").await;
    assert!(figures(page).await >= 1);
    assert_eq!(count(page).await, entries, "nothing was entered");
}

/// Entries of the ledger, as the program counts them.
async fn count(page: &Page) -> u64 {
    let script = "
        const done = arguments[arguments.length - 1];
        fetch('/api/ledger', {
          method: 'POST', headers: { 'content-type': 'application/json' },
          credentials: 'same-origin', body: '{}',
        }).then((answer) => answer.json()).then((ledger) => done(ledger.count), () => done(null));
    ";
    page.client.execute_async(script, Vec::new()).await.unwrap().as_u64().unwrap()
}

#[tokio::test]
async fn a_calculation_is_opened_from_the_step_of_a_leak_test() {
    opened_from_a_leak_test(Front::Browser).await;
}

/// The first example that it takes, by its title, with what comes of it.
fn example(calculation: &Calculation) -> (String, Sheet) {
    let good = calculation.examples().iter().find(|one| one.name.starts_with("good-")).unwrap();
    let words = good.name.trim_start_matches("good-").replace('-', " ");
    let title = format!("{}{}", words[..1].to_uppercase(), &words[1..]);
    (title, calculation.run_text(good.text).unwrap())
}

/// Every calculation by itself, found by its search word, filled with an example and calculated.
#[tokio::test]
async fn every_calculation_has_a_page_that_can_be_read_and_touched() {
    let mut findings = Findings::default();
    let stage = Stage::open("calculations", Front::Browser).await;
    let page = &stage.page;
    stage.act_as(&person("P-04"), "performance engineer").await;
    page.heading("Yard").await;
    for calculation in acceptance::calculations() {
        let (title, sheet) = example(calculation);
        page.go("calculations").await;
        page.press("textbox", "Search").await;
        page.keys(calculation.title()).await;
        page.press_beginning("link", calculation.title()).await;
        page.heading(calculation.title()).await;
        page.press("button", "Fill in an example").await;
        page.press("button", &title).await;
        page.press("button", "Fill in an example").await;
        page.press("button", "Calculate").await;
        page.heading(match sheet.verdict {
            Verdict::Pass => "Within the limit",
            Verdict::Fail => "Outside the limit",
            Verdict::NotJudged => "Not judged",
            Verdict::Computed => "Computed",
        })
        .await;
        // What the form lost on the way would make another sentence.
        page.see(&sheet.reason).await;
        let data = sheet.figure.as_ref();
        let drawn =
            data.is_some_and(|f| !f.series.is_empty() || !f.bars.is_empty() || f.grid.is_some());
        assert!(!drawn || figures(page).await > 0, "{} shows no figure", calculation.name());
        findings.glance(page, &format!("calculation-{}", calculation.name())).await;
    }
    findings.are_none();
}

/// A block of rows as a spreadsheet gives it: a line that does not fit is named, what is typed
/// survives the program, and nothing is calculated past it.
#[tokio::test]
async fn rows_come_from_a_spreadsheet() {
    const BLOCK: &str = "One line a row, cells parted by tabs or semicolons";
    let mut stage = Stage::open("rows", Front::Browser).await;
    let page = stage.page.clone();
    stage.act_as(&person("P-04"), "performance engineer").await;
    page.heading("Yard").await;
    page.go("calculations/walk-off").await;
    page.heading("Walk-off of the sun's image").await;
    page.press("button", "Paste rows").await;
    page.press("textbox", BLOCK).await;
    let enter = char::from(Key::Enter);
    page.keys(&format!("radius;name{enter}85 mm;aperture;x{enter}")).await;
    page.see("Line 2 doesn't fit.").await;
    page.find("button", "Correct the line").await;
    page.find("button", "Read in what is typed").await;

    stage.kill_and_start().await;
    stage.unlock().await;
    let page = stage.page.clone();
    stage.act_as(&person("P-04"), "performance engineer").await;
    page.go("calculations/walk-off").await;
    page.see("Line 2 doesn't fit.").await;
    page.replace(BLOCK, "radius;name").await;
    page.keys(&format!("{enter}85 mm;aperture{enter}120 mm;shield")).await;
    page.see("2 rows to read in").await;
    page.press("button", "Read in").await;
    page.find("button", "Remove row 2").await;
    let radii = "return [...document.querySelectorAll('[data-field$=\"].radius\"] input')]
        .map((field) => field.value)";
    assert_eq!(page.run(radii, Vec::new()).await, json!(["85 mm", "120 mm"]));
}

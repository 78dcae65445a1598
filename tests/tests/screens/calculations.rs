//! Calculations by hand: one opened from the step of a leak test.

use crate::driver::Front;
use crate::page::Page;
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

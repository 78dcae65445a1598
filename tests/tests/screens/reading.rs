//! A leak test from the dish to the hold: started, read key by key, questioned, insisted on, and a
//! hold that runs on while the program does not.

use crate::driver::Front;
use crate::page::Page;
use crate::site::person;
use crate::stage::Stage;

/// From the yard to the first step of a new leak test of PC-06.
pub(crate) async fn start_leak_test(stage: &Stage) {
    let page = &stage.page;
    page.heading("Yard").await;
    page.press_beginning("link", "PC-06-J").await;
    page.heading("PC-06-J").await;
    page.press("button", "Start: leak").await;
    page.press("button", "Start attempt 1").await;
    page.heading("Everything that must stand beforehand").await;
}

/// To a step of the record by way of its whole form.
pub(crate) async fn go_to(page: &Page, number: &str, title: &str) {
    page.press("link", "Whole form").await;
    page.heading("Whole form").await;
    page.press_beginning("link", &format!("{number} {title}")).await;
    page.heading(title).await;
}

async fn read_question_insist_and_hold(front: Front) {
    let mut stage = Stage::open("reading", front).await;
    stage.act_as(&person("P-03"), "gas technician").await;
    start_leak_test(&stage).await;
    let page = stage.page.clone();
    page.press("button", "Done").await;

    page.heading("Gas in the circuit").await;
    page.press("radio", "Helium").await;
    page.press("button", "Enter “Helium”").await;

    page.heading("Volume of the circuit").await;
    page.find("button", "Type the number").await;
    // Every key is shown with what it is in other units, before anything is entered.
    for (key, shown, litres_in_millilitres) in
        [("1", "1", "1000"), ("2", "12", "12000"), (",", "12,", ""), ("4", "12.4", "12400")]
    {
        page.keys(key).await;
        page.says("status", "Volume of the circuit", shown).await;
        if !litres_in_millilitres.is_empty() {
            page.see(&format!("mL {litres_in_millilitres}")).await;
        }
    }
    page.press("button", "Keep 12.4 L").await;
    page.heading("Uncertainty of the volume").await;

    // 72 bar where the step goes to 5: asked, and kept only with a reason.
    go_to(&page, "2.1", "Raise to 5 bar(g)").await;
    page.press_beginning("button", "PG-03").await;
    page.keys("72").await;
    page.see("outside 0 to 10 bar(g)").await;
    page.press("button", "It is bar(g). Say why").await;
    page.focused("Why it is kept all the same").await;
    page.find("button", "Say why").await;
    page.keys("gauge steps only at 72").await;
    page.holds("Why it is kept all the same", "gauge steps only at 72").await;
    page.press("button", "Back to the answer").await;
    page.says("status", "Raise to 5 bar(g)", "72").await;
    page.press("button", "It is bar(g). Say why").await;
    page.holds("Why it is kept all the same", "gauge steps only at 72").await;
    page.press("button", "Keep 72 bar(g)").await;

    // The next step is a hold. It runs while the program does not.
    page.heading("Wait at 5 bar(g)").await;
    page.press("button", "Start the hold").await;
    page.see("held of 0:10").await;
    page.see("Begun Fri 11 Sep").await;
    stage.kill_and_start().await;
    stage.unlock().await;
    let page = stage.page.clone();
    stage.act_as(&person("P-03"), "gas technician").await;
    page.heading("Yard").await;
    page.press_beginning("link", "PC-06-J").await;
    page.press("button", "Go on: leak").await;
    go_to(&page, "2.2", "Wait at 5 bar(g)").await;
    page.see("held of 0:10").await;
    page.see("Begun Fri 11 Sep").await;
    page.see("by Ivana Brize").await;

    // Psi typed as bar is asked about, and corrected with the words that will be recorded.
    go_to(&page, "6.1", "Gauge pressure at the start").await;
    // The gauge taken before is proposed again.
    page.see("PG-03 digital pressure gauge").await;
    page.keys("1595").await;
    page.see("Is that psi?").await;
    page.press("button", "It was psi: 110.0 bar(g)").await;
    page.heading("Gas temperature at the start").await;
    go_to(&page, "6.1", "Gauge pressure at the start").await;
    page.see("1595 psi").await;

    // Another person takes the tablet, and the form is where it was.
    page.press("button", "Change person").await;
    stage.act_as(&person("P-02"), "supervisor").await;
    page.heading("Gauge pressure at the start").await;
    page.see("Teodoro Manquel").await;
}

#[tokio::test]
async fn read_question_insist_and_hold_in_the_browser() {
    read_question_insist_and_hold(Front::Browser).await;
}

#[tokio::test]
async fn read_question_insist_and_hold_in_the_window() {
    read_question_insist_and_hold(Front::Window).await;
}

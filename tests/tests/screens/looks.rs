//! Every screen in every size and theme: a picture of each, and what is wrong with it.

use crate::driver::Front;
use crate::pictures::Findings;
use crate::reading::{go_to, start_leak_test};
use crate::site::person;
use crate::stage::Stage;

#[tokio::test]
async fn every_screen_can_be_read_and_touched() {
    let mut findings = Findings::default();
    let stage = Stage::closed("looks", Front::Browser).await;
    let page = &stage.page;
    page.heading("Open the logbook").await;
    findings.look(page, "unlock").await;
    stage.unlock().await;
    findings.look(page, "people").await;
    let performer = person("P-03");
    page.press_beginning("button", performer.name).await;
    page.find("button", "Six more digits").await;
    findings.look(page, "people-pin").await;
    stage.act_as(&performer, "gas technician").await;
    page.heading("Yard").await;
    page.see("PC-06-J").await;
    findings.look(page, "yard").await;
    for (place, title) in [("Locks", "Locks"), ("Ledger", "Ledger")] {
        page.press("link", place).await;
        page.heading(title).await;
        findings.look(page, &title.to_lowercase()).await;
    }
    page.press("link", "Yard").await;
    page.press_beginning("link", "PC-04-G").await;
    page.heading("PC-04-G").await;
    page.see("Owes, and why").await;
    findings.look(page, "dish").await;
    page.press("link", "Handover report").await;
    page.heading("Sign-off").await;
    page.see("First, what is not plain").await;
    findings.look(page, "sign-off").await;
    page.press("link", "Yard").await;
    page.press_beginning("link", "PC-06-J").await;
    page.heading("PC-06-J").await;
    page.press("button", "Start: leak").await;
    page.find("button", "Start attempt 1").await;
    findings.look(page, "record-begin").await;
    page.press("link", "Yard").await;
    page.press_beginning("link", "PC-08-L").await;
    page.heading("PC-08-L").await;
    page.press("link", "Yard").await;
    findings.are_none();
    let _ = (go_to, start_leak_test);
}

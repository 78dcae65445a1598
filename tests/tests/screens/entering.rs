//! Opening the folder, taking the tablet, and giving it up again.

use crate::driver::Front;
use crate::site::person;
use crate::stage::Stage;

async fn passphrase_person_and_change(front: Front) {
    let stage = Stage::closed("entering", front).await;
    let page = &stage.page;
    page.focused("Passphrase of this folder").await;
    page.keys("not these words").await;
    page.press("button", "Open").await;
    page.see("does not open").await;
    page.holds("Passphrase of this folder", "not these words").await;
    page.press("textbox", "Passphrase of this folder").await;
    page.keys(&"\u{e003}".repeat("not these words".len())).await;
    page.holds("Passphrase of this folder", "").await;
    stage.unlock().await;
    stage.act_as(&person("P-03"), "gas technician").await;
    page.heading("Yard").await;
    page.press("button", "Change person").await;
    page.see("Nobody acts").await;
    // Another one takes it, with a wrong PIN first.
    let supervisor = person("P-02");
    page.press_beginning("button", supervisor.name).await;
    page.heading(supervisor.name).await;
    page.keys("000000").await;
    page.press("button", "Act as supervisor").await;
    page.see("people.wrong_pin").await;
    page.keys(supervisor.pin).await;
    page.press("button", "Act as supervisor").await;
    page.heading("Yard").await;
    page.see(supervisor.name).await;
}

#[tokio::test]
async fn passphrase_person_and_change_in_the_browser() {
    passphrase_person_and_change(Front::Browser).await;
}

#[tokio::test]
async fn passphrase_person_and_change_in_the_window() {
    passphrase_person_and_change(Front::Window).await;
}

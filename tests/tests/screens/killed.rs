//! Power cuts while somebody types: whatever stood in the field stands there again.

use crate::driver::Front;
use crate::reading::{go_to, start_leak_test};
use crate::site::person;
use crate::stage::Stage;

/// The text of a reading as it grows, key by key: what is typed, and what the field then shows.
const KEYS: [(&str, &str); 5] =
    [("1", "1"), ("2", "12"), (",", "12,"), ("4", "12.4"), ("5", "12.45")];

async fn what_was_typed_outlives_a_kill(front: Front) {
    let mut stage = Stage::open("killed", front).await;
    stage.act_as(&person("P-03"), "gas technician").await;
    start_leak_test(&stage).await;
    let mut page = stage.page.clone();
    go_to(&page, "0.3", "Volume of the circuit").await;
    for (key, shown) in KEYS {
        page.keys(key).await;
        page.says("status", "Volume of the circuit", shown).await;
        stage.kill_and_start().await;
        page = back_in_the_record(&stage).await;
        go_to(&page, "0.3", "Volume of the circuit").await;
        page.says("status", "Volume of the circuit", shown).await;
    }
    // A reason in words, in the middle of one.
    page.press("button", "Not measured").await;
    let label = "Why it was not measured";
    page.focused(label).await;
    page.keys("no drawing, no pl").await;
    page.holds(label, "no drawing, no pl").await;
    stage.kill_and_start().await;
    page = back_in_the_record(&stage).await;
    go_to(&page, "0.3", "Volume of the circuit").await;
    page.says("status", "Volume of the circuit", "12.45").await;
    page.press("button", "Not measured").await;
    page.holds(label, "no drawing, no pl").await;
}

/// After a new start: the folder is closed, nobody acts, and the record is where it was.
async fn back_in_the_record(stage: &Stage) -> crate::page::Page {
    stage.unlock().await;
    stage.act_as(&person("P-03"), "gas technician").await;
    let page = stage.page.clone();
    page.heading("Yard").await;
    page.press_beginning("link", "PC-06-J").await;
    page.press("button", "Go on: leak").await;
    page
}

#[tokio::test]
async fn what_was_typed_outlives_a_kill_in_the_browser() {
    what_was_typed_outlives_a_kill(Front::Browser).await;
}

#[tokio::test]
async fn what_was_typed_outlives_a_kill_in_the_window() {
    what_was_typed_outlives_a_kill(Front::Window).await;
}

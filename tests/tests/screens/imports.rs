//! What comes in many at once: a survey touched on the map and read from the camera's file, and
//! the series of a logger and a meter.

use crate::driver::Front;
use crate::reading::go_to;
use crate::site::{file, person};
use crate::stage::Stage;

/// The thermometer that the logger reads, as the list shows it.
const AIR: &str = "AT-01 air thermometer on the wind mast, shaded and ventilated, read by the logger, in date, due 5 Jun 2027";

/// Opens a record of this proof on PC-06 and starts its first attempt.
pub(crate) async fn start(stage: &Stage, role: &str, proof: &str) {
    let page = &stage.page;
    stage.act_as(&person("P-04"), role).await;
    page.heading("Yard").await;
    page.press_beginning("link", "PC-06-J").await;
    page.heading("PC-06-J").await;
    page.press("button", &format!("Start: {proof}")).await;
    page.press("button", "Start attempt 1").await;
    page.heading("Everything that must stand beforehand").await;
}

async fn a_survey_by_touch_and_by_file(front: Front) {
    let stage = Stage::open("survey", front).await;
    let page = &stage.page;
    start(&stage, "optics technician", "alignment").await;
    go_to(page, "2.1", "As found, all facets").await;
    page.press_beginning("radio", "By hand").await;
    page.see("0 measured").await;
    // A touch frames the rack and takes the facet; its numbers are typed.
    page.press_beginning("button", "R07/F12").await;
    page.heading("R07 / F12").await;
    page.keys("1.5\u{e007}-2.5").await;
    page.says("button", "Right on the board 1.5 mm", "Right on the board 1.5 mm").await;
    page.says("button", "Up on the board -2.5 mm", "Up on the board -2.5 mm").await;
    page.see("1 measured").await;
    page.press("button", "Next facet").await;
    page.heading("R07 / F13").await;
    // All of them lie in the camera's file as well.
    page.press("button", "Take a file instead").await;
    page.press("radio", "From a file").await;
    page.upload("Choose the file", &file("files/pc-07-as-found.csv")).await;
    page.see("pc-07-as-found.csv").await;
    page.see("252 of 252 rows used").await;
    page.find("button", "Enter 252 of 252").await;
}

async fn the_series_of_a_run(front: Front) {
    let stage = Stage::open("series", front).await;
    let page = &stage.page;
    start(&stage, "performance engineer", "performance").await;
    go_to(page, "2.6", "Data of the first run").await;
    page.upload("Choose the files", &file("files/pc-02-run-1-logger.csv")).await;
    page.see("At which offset from UTC are the stamps?").await;
    // The logger keeps UTC-4 and names each minute by its end; the meter by its start.
    page.choose("Its clock stands at UTC", "−04:00").await;
    page.press_last("button", "End of its interval").await;
    page.see("150 of 150 rows used").await;
    page.choose("Air temperature, measured with", AIR).await;
    page.upload("Add a file", &file("files/pc-02-run-1-meter.csv")).await;
    page.see("At which offset from UTC are the stamps?").await;
    page.choose("Its clock stands at UTC", "−04:00").await;
    page.press_last("button", "Start of its interval").await;
    page.press("button", "Enter these series").await;
    page.heading("No curtailment during the first run").await;
}

#[tokio::test]
async fn a_survey_by_touch_and_by_file_in_the_browser() {
    a_survey_by_touch_and_by_file(Front::Browser).await;
}

#[tokio::test]
async fn the_series_of_a_run_in_the_browser() {
    the_series_of_a_run(Front::Browser).await;
}

#[tokio::test]
async fn a_survey_by_touch_and_by_file_in_the_window() {
    a_survey_by_touch_and_by_file(Front::Window).await;
}

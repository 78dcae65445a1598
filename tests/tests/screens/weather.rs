//! Permit and helper at the start of an attempt, and the weather noted while it runs.

use crate::driver::Front;
use crate::site::person;
use crate::stage::Stage;

const GUST: &str = "Gust at focal height, as seen now";
const INSTRUMENT: &str = "Gust at focal height, read with";
const PERMIT: &str = "Permit number, if the site uses one";
const HELPS: &str = "Who helps, trainees too";

#[tokio::test]
async fn permit_helper_and_weather_stand_in_the_record() {
    let mut stage = Stage::open("weather", Front::Browser).await;
    let (performer, trainee) = (person("P-03"), person("P-09"));
    stage.act_as(&performer, "gas technician").await;
    let page = stage.page.clone();
    page.heading("Yard").await;
    page.press_beginning("link", "PC-06-J").await;
    page.heading("PC-06-J").await;
    page.press("button", "Start: leak").await;
    page.press("textbox", PERMIT).await;
    page.keys("PTW-0460").await;
    page.holds(PERMIT, "PTW-0460").await;
    let helps = format!("{}, trainee", trainee.name);
    page.choose(HELPS, &helps).await;
    let takes_off = format!("{} does not help", trainee.name);
    page.press("button", &takes_off).await;
    page.choose(HELPS, &helps).await;
    page.find("button", &takes_off).await;

    // A power cut before the start: both are there again.
    stage.kill_and_start().await;
    stage.unlock().await;
    stage.act_as(&performer, "gas technician").await;
    let page = stage.page.clone();
    page.heading("Yard").await;
    page.press_beginning("link", "PC-06-J").await;
    page.press("button", "Start: leak").await;
    page.holds(PERMIT, "PTW-0460").await;
    page.find("button", &takes_off).await;
    page.press("button", "Start attempt 1").await;
    page.heading("Everything that must stand beforehand").await;

    page.press("link", "Note the weather").await;
    page.heading("Weather").await;
    page.see("Not noted in this attempt.").await;
    page.see("leave the arm, let no one climb").await;
    page.find("button", "Type what was seen").await;
    page.press("textbox", INSTRUMENT).await;
    page.keys("AN-01").await;
    page.find("button", "Say what the instrument showed").await;
    page.press("textbox", GUST).await;
    page.keys("7,3 m/s").await;
    page.holds(GUST, "7,3 m/s").await;
    // Left and come back to: what was typed waits.
    page.press("button", "Back to the work").await;
    page.heading("Everything that must stand beforehand").await;
    page.press("link", "Note the weather").await;
    page.holds(GUST, "7,3 m/s").await;
    page.holds(INSTRUMENT, "AN-01").await;
    page.press("button", "Note the weather").await;
    page.see("7,3 m/s with AN-01, Fri 11 Sep").await;
    page.holds(GUST, "").await;
    page.holds(INSTRUMENT, "").await;
    // A gust far above the limit is noted like any other, by the key as well.
    page.press("textbox", GUST).await;
    page.keys("31 m/s\u{e007}").await;
    page.see("Noted once before.").await;

    page.press("button", "Back to the work").await;
    page.press("link", "Whole form").await;
    page.see("Gust at focal height: 31 m/s, Fri 11 Sep").await;
    page.see("Distance of lightning: not noted").await;
    page.see(&format!("Helped by {}. Permit PTW-0460.", trainee.name)).await;

    // Whoever has not taken the tablet reads it, and is told why nothing can be noted.
    page.press_beginning("link", "Gust at focal height").await;
    page.heading("Weather").await;
    page.press("button", "Change person").await;
    page.press("button", "Only look").await;
    page.heading("Weather").await;
    page.see("Nobody acts on this tablet just now.").await;
    page.see("31 m/s, Fri 11 Sep").await;
}

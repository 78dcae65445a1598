//! A hold that is over: end readings, the witness, the signature, the verdict, the review, the
//! report with three signatures, and the file as `dishwright check` sees it.

use std::path::{Path, PathBuf};
use std::process::Command;

use crate::driver::Front;
use crate::process::built;
use crate::site::{file, person};
use crate::stage::{Stage, until};

async fn from_the_hold_to_a_verified_report(front: Front) {
    // The story stops ten minutes before the end of the hold of PC-03.
    let stage = Stage::open_later("handover", front, 20).await;
    let page = &stage.page;
    let (gas, supervisor, owner) = (person("P-03"), person("P-02"), person("P-10"));
    stage.act_as(&gas, "gas technician").await;
    page.heading("Yard").await;
    page.press_beginning("link", "PC-03, Gas system leak test").await;
    page.heading("Hold").await;
    page.press("button", "End the hold").await;

    page.heading("Gauge pressure at the end").await;
    page.see("PG-03 digital pressure gauge").await;
    page.keys("110.2").await;
    page.press("button", "Keep 110.2 bar(g)").await;
    page.heading("Gas temperature at the end").await;
    page.keys("17.6").await;
    page.press("button", "Keep 17.6 °C").await;
    page.heading("Barometer at the end").await;
    page.keys("861").await;
    page.press("button", "Keep 861 hPa").await;
    page.heading("Photo of the gauge at the end").await;
    page.upload(
        "Picture for Photo of the gauge at the end",
        &file("photos/gauge-attempt-3-end.jpg"),
    )
    .await;
    page.press("button", "Enter this picture").await;

    // What comes out of the readings is seen before the work goes on.
    page.heading("Loss of contents and its uncertainty").await;
    page.press("button", "Go on").await;
    page.heading("Owner's witness").await;
    page.press_beginning("radio", "Present").await;
    page.see("takes the tablet: Change person").await;
    page.press("button", "Change person").await;
    stage.act_as(&owner, "owner's witness").await;
    page.heading("Owner's witness").await;
    page.press_beginning("button", "Sign as").await;
    page.heading("Signature of the performer").await;
    page.press("button", "Change person").await;
    stage.act_as(&gas, "gas technician").await;
    page.heading("Signature of the performer").await;
    page.see("Ivana Brize signs as gas technician").await;
    page.press("button", "Finish and sign the attempt").await;
    page.see("Within the limits").await;
    page.press("button", "Hand to review").await;

    stage.act_as(&supervisor, "supervisor").await;
    page.heading("Review").await;
    page.press("button", "Accept as supervisor").await;
    page.see("Accepted by Teodoro Manquel").await;
    page.press("link", "To PC-03").await;
    page.see("leak, stands").await;

    page.press("link", "Handover report").await;
    page.press("button", "Issue the report").await;
    for (who, role, field) in [
        (&gas, "gas technician", "Crew"),
        (&supervisor, "supervisor", "Supervisor"),
        (&owner, "owner's witness", "Owner"),
    ] {
        page.press("button", "Change person").await;
        stage.act_as(who, role).await;
        page.heading(&format!("Sign PC-03 as {field}")).await;
        page.keys(who.pin).await;
        page.press("button", &format!("Sign as {}", who.name)).await;
        page.see(&format!("Signed by {}", who.name)).await;
    }
    page.heading("Every field is signed").await;

    let pdf = match front {
        Front::Browser => {
            page.press("button", "Download the PDF").await;
            downloaded(&stage.demo.parent().unwrap().join("downloads")).await
        }
        Front::Window => {
            let path = stage.demo.parent().unwrap().join("saved.pdf");
            page.replace("Save on the machine that holds the logbook, as", path.to_str().unwrap())
                .await;
            page.press("button", "Save the PDF").await;
            page.see("Saved as").await;
            path
        }
    };
    check(&pdf, &stage.demo.join("site-root.pem"));
}

/// The one finished file in the browser's folder for downloads.
async fn downloaded(folder: &Path) -> PathBuf {
    until("a downloaded PDF", || async {
        let names = std::fs::read_dir(folder).map_err(|error| error.to_string())?;
        let paths: Vec<PathBuf> = names.flatten().map(|entry| entry.path()).collect();
        match paths.as_slice() {
            [path] if path.extension().is_some_and(|ending| ending == "pdf") => Ok(path.clone()),
            other => Err(format!("{other:?}")),
        }
    })
    .await
}

/// The program verifies the file against the site's root, with every signature in it.
fn check(pdf: &Path, root: &Path) {
    let program = built("DISHWRIGHT_PROGRAM", "dishwright");
    let mut command = Command::new(program);
    command.arg("check").arg(pdf).arg("--root").arg(root);
    let out = command.output().unwrap();
    let said = String::from_utf8_lossy(&out.stdout).into_owned();
    assert_eq!(out.status.code(), Some(0), "{said}{}", String::from_utf8_lossy(&out.stderr));
    for name in ["Ivana Brize", "Teodoro Manquel", "Delfina Arrate"] {
        assert!(said.contains(name), "{said}");
    }
}

#[tokio::test]
async fn from_the_hold_to_a_verified_report_in_the_browser() {
    from_the_hold_to_a_verified_report(Front::Browser).await;
}

#[tokio::test]
async fn from_the_hold_to_a_verified_report_in_the_window() {
    from_the_hold_to_a_verified_report(Front::Window).await;
}

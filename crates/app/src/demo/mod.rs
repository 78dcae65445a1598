//! The demo: the invented site's story, played through the same requests that every front end
//! sends, with a clock that the story moves.

mod folder;
mod script;
mod story;
mod verify;

pub use folder::DemoFolder;
pub use story::Story;
pub use verify::Seen;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use serde::Serialize;

use crate::clock::{Clock as _, StoryClock};
use crate::error::{AppError, Result};
use crate::files;
use crate::logbook::{Founding, Logbook};
use crate::progress::{Progress, Sink};
use crate::vault::Cost;

use script::{Happening, Report, Site};

/// What is laid beside the report for a stranger.
const HOW_TO_VERIFY: &str = include_str!("how-to-verify.txt");

/// Where the story wrote what, and what was seen of it.
#[derive(Clone, Debug, Serialize)]
pub struct Played {
    /// The data folder.
    pub data: PathBuf,
    /// The folder with the secret outside the data folder.
    pub secrets: PathBuf,
    /// A file with the passphrase.
    pub passphrase_file: PathBuf,
    /// The signed report.
    pub report: PathBuf,
    /// The site's root certificate, PEM.
    pub root: PathBuf,
    /// The archive of all entries.
    pub archive: PathBuf,
    /// Verdicts in the order reached.
    pub verdicts: Vec<Verdict>,
    /// Acts that a rule of the logbook refused; the story goes on without them. The shipped story
    /// has none: they come of changed readings.
    pub refused: Vec<Refused>,
    /// What was verified afterwards, in order.
    pub seen: Vec<Seen>,
    /// True when all of it was right.
    pub verified: bool,
}

impl Played {
    /// The verdicts by thread, each thread where its first verdict was reached.
    pub fn by_thread(&self) -> Vec<(&str, Vec<&Verdict>)> {
        let mut threads: Vec<(&str, Vec<&Verdict>)> = Vec::new();
        for verdict in &self.verdicts {
            match threads.iter_mut().find(|(of, _)| *of == verdict.of) {
                Some((_, list)) => list.push(verdict),
                None => threads.push((&verdict.of, vec![verdict])),
            }
        }
        threads
    }
}

/// An act that a rule refused.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Refused {
    /// Claimed time.
    pub at: String,
    /// Who wanted to act.
    pub by: String,
    /// The rule's code.
    pub code: String,
    /// Why not.
    pub sentence: String,
    /// What to do instead.
    pub next_step: String,
}

/// One verdict of the story.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Verdict {
    /// Claimed time.
    pub at: String,
    /// The thread of the story, such as `pc-04-leak`.
    pub of: String,
    /// The dish.
    pub position: String,
    /// The title of the checklist.
    pub title: String,
    /// The attempt's number.
    pub attempt: u32,
    /// pass, fail or not judged.
    pub verdict: String,
    /// Why.
    pub reason: String,
}

/// Plays the shipped story into an empty folder and verifies what it left there.
///
/// # Errors
/// The first act that does not go through, a folder that can't be written, or a file that exists.
pub fn play(out: &Path, progress: &mut Sink<'_>) -> Result<Played> {
    play_story(&Story::shipped(), out, Cost::calibrated()?, store::KdfCost::STANDARD, progress)
}

/// Plays a given story; tests change a reading in it and see another verdict.
///
/// # Errors
/// As [`play`].
pub fn play_story(
    story: &Story,
    out: &Path,
    pin_cost: Cost,
    passphrase_cost: store::KdfCost,
    progress: &mut Sink<'_>,
) -> Result<Played> {
    let (site, happenings) = (story.site()?, script::by_time(story.scripts()?));
    files::empty_folder(out)?;
    let data = out.join("site");
    let secrets = out.join("outside-the-site");
    let passphrase_file = out.join("passphrase.txt");
    files::write_new(&passphrase_file, format!("{}\n", site.passphrase).as_bytes())?;
    let clock = Arc::new(StoryClock::new(site.site.founded_at.at()));
    let founder = site.founder()?;
    let mut logbook = Logbook::found(&Founding {
        folder: &data,
        secrets: &secrets,
        passphrase: &site.passphrase,
        site: &site.site.name,
        installation: &site.site.installation,
        founder,
        pin: &site.founder.pin,
        clock: Arc::<StoryClock>::clone(&clock),
        pin_cost,
        passphrase_cost,
    })?;
    site.set_up(&mut logbook, story, progress)?;
    let mut player = script::Player::new(story, &site);
    let mut reports = Vec::new();
    let of = happenings.len() as u64;
    for (done, (thread, happening)) in (1..).zip(&happenings) {
        progress(Progress::counted("Playing the story", done, of));
        match happening {
            Happening::Act(act) => player.play(thread, act, &mut logbook, &clock)?,
            Happening::HandOver(plan) => {
                let report = out.join(format!("{}-handover.pdf", plan.position));
                hand_over(&mut logbook, &clock, &site, plan, &report, progress)?;
                reports.push(report);
            }
        }
    }
    let (verdicts, refused) = player.into_outcome();
    let report = reports.pop().ok_or_else(|| {
        AppError::new(
            "demo.no_report",
            "No thread of the story ends with a report.",
            "Give one of them a [report].",
        )
    })?;
    clock.move_to(site.site.left_at.at());
    DemoFolder::at(out).stop(clock.read().wall)?;
    let root = out.join("site-root.pem");
    files::write_new(&root, logbook.root_pem()?.as_bytes())?;
    let archive = out.join("entries.jsonl");
    progress(Progress::step("Writing the archive of all entries"));
    logbook.export(&archive)?;
    files::write_new(&out.join("how-to-verify.txt"), HOW_TO_VERIFY.as_bytes())?;
    drop(logbook);
    let left = verify::Left {
        report: &report,
        root: &root,
        archive: &archive,
        data: &data,
        secrets: &secrets,
        passphrase: &site.passphrase,
    };
    let seen = verify::all(&left, progress)?;
    let verified = seen.iter().all(|seen| seen.right);
    Ok(Played {
        data,
        secrets,
        passphrase_file,
        report,
        root,
        archive,
        verdicts,
        refused,
        seen,
        verified,
    })
}

/// Issues the report and signs it in turn.
fn hand_over(
    logbook: &mut Logbook,
    clock: &StoryClock,
    site: &Site,
    plan: &Report,
    path: &Path,
    progress: &mut Sink<'_>,
) -> Result<()> {
    progress(Progress::step("Writing the handover report"));
    clock.move_to(plan.issued_at.at());
    site.act_as(logbook, &plan.issued_by, plan.issued_role)?;
    // Each turn of the signatures makes a file of its own; only the last lies in the open.
    let turns = path.with_file_name("turns");
    files::empty_folder(&turns)?;
    let named = |turn: &str| turns.join(format!("{}-{turn}.pdf", plan.position));
    let mut latest = named("issued");
    let written = logbook.write_report(&plan.position, &latest)?;
    let mut turn = written.report;
    for (index, signature) in plan.signatures.iter().enumerate() {
        let last = index + 1 == plan.signatures.len();
        let next = if last { path.to_owned() } else { named(&format!("signed-{}", index + 1)) };
        progress(Progress::step(format!("{} signs as {}", signature.by, signature.field)));
        clock.move_to(signature.at.at());
        site.act_as(logbook, &signature.by, signature.role)?;
        turn = logbook.sign_report(&turn, &signature.field, &latest, &next)?;
        latest = next;
    }
    Ok(())
}

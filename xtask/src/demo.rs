//! Plays the demo, has its PDF checked, by this program and by readers that know nothing of it,
//! and opens the window on the invented site.

mod people;
mod readers;

use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Stdio;

use crate::places::Places;
use crate::run;
use crate::setup::{self, Purpose};
use crate::trouble::Trouble;
use crate::ui;

/// Builds the programs, plays the demo into `out`, checks what it wrote, shows it.
pub(crate) fn demo(places: &Places, out: Option<&Path>, release: bool) -> Result<(), Trouble> {
    let purpose = Purpose::of_the_demo();
    setup::setup(places, purpose)?;
    ui::build(places)?;
    let with_window = purpose >= Purpose::Window;
    build(places, release, with_window)?;
    let dishwright = built(places, release, "dishwright");
    let out = folder(places, out)?;
    println!("\n== dishwright demo --out {} ==", out.display());
    let folder = out.to_string_lossy();
    run::show(run::program(&dishwright, &["demo", "--out", &folder], &places.root))?;
    let root = one(&out, &["pem", "crt", "cer"], "the site's root certificate")?;
    let pdf = one(&out, &["pdf"], "the signed PDF")?;
    check(places, &dishwright, &pdf, &root)?;
    println!("\nThe report:        {}", pdf.display());
    println!("All that it wrote: {}", out.display());
    println!("\n{}", people::keys(places)?);
    if with_window {
        open(&built(places, release, "dishwright-window"), &out, places)
    } else {
        println!(
            "No display here, so no window was opened. In a browser:\n  {} serve --demo {}",
            dishwright.display(),
            out.display()
        );
        Ok(())
    }
}

fn build(places: &Places, release: bool, with_window: bool) -> Result<(), Trouble> {
    println!("== build == (the first time takes some minutes)");
    let mut arguments = vec!["build", "--package", "cli", "--locked"];
    if with_window {
        arguments.extend(["--package", "window"]);
    }
    if release {
        arguments.push("--release");
    }
    run::show(run::cargo(&arguments, &places.root))
}

fn built(places: &Places, release: bool, name: &str) -> PathBuf {
    let profile = if release { "release" } else { "debug" };
    places.target().join(profile).join(format!("{name}{}", env::consts::EXE_SUFFIX))
}

/// The folder to write to. The default one holds what an earlier demo wrote; it is emptied. A
/// folder that someone named is theirs: nothing is taken out of it.
fn folder(places: &Places, named: Option<&Path>) -> Result<PathBuf, Trouble> {
    let trouble = |path: &Path, error: &std::io::Error| {
        let what = format!("{} can't be used: {error}.", path.display());
        Trouble::new(what, "Name another folder with --out DIR.")
    };
    if let Some(named) = named {
        return std::path::absolute(named).map_err(|error| trouble(named, &error));
    }
    let path = places.root.join("demo-out");
    if path.exists() {
        fs::remove_dir_all(&path).map_err(|error| trouble(&path, &error))?;
    }
    Ok(path)
}

/// The one file in `folder` with one of these endings.
fn one(folder: &Path, endings: &[&str], what: &str) -> Result<PathBuf, Trouble> {
    let entries = fs::read_dir(folder).map_err(|error| {
        let what = format!("{} can't be listed: {error}.", folder.display());
        Trouble::new(what, "Run the demo again.")
    })?;
    let mut found: Vec<PathBuf> = entries
        .filter_map(|entry| entry.ok().map(|entry| entry.path()))
        .filter(|path| path.extension().is_some_and(|e| endings.iter().any(|ending| e == *ending)))
        .collect();
    found.sort();
    match found.as_slice() {
        [path] => Ok(path.clone()),
        list => {
            let what =
                format!("{} holds {} files where {what} should be.", folder.display(), list.len());
            Err(Trouble::new(what, "Name an empty folder with --out DIR."))
        }
    }
}

/// Every reader looks, also when one before it found something wrong.
fn check(places: &Places, dishwright: &Path, pdf: &Path, root: &Path) -> Result<(), Trouble> {
    let (file, trust) = (pdf.to_string_lossy(), root.to_string_lossy());
    println!("\n== dishwright check ==");
    let own = run::program(dishwright, &["check", &file, "--root", &trust], &places.root);
    let outcomes = [
        ("dishwright check", run::show(own)),
        ("pdfsig", readers::pdfsig(pdf, root)),
        ("pyHanko", readers::pyhanko(places, pdf, root)),
        ("qpdf", readers::qpdf(pdf)),
    ];
    println!();
    let mut wrong = Vec::new();
    for (reader, outcome) in outcomes {
        match outcome {
            Ok(()) => println!("{reader:<17} accepts the file."),
            Err(trouble) => {
                println!("{reader:<17} does not accept it: {trouble}");
                wrong.push(reader);
            }
        }
    }
    if wrong.is_empty() {
        return Ok(());
    }
    let what = format!("The demo's PDF was not accepted by: {}.", wrong.join(", "));
    Err(Trouble::new(what, "What each of them said stands above."))
}

/// Opens the window on the invented site and leaves it to whoever sits there.
fn open(window: &Path, out: &Path, places: &Places) -> Result<(), Trouble> {
    let folder = out.to_string_lossy();
    let mut command = run::program(window, &["--demo", &folder], &places.root);
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    println!("Opening the window. Again later: {} --demo {folder}", window.display());
    command.spawn().map(|_| ()).map_err(|error| {
        let what = format!("{} could not be started: {error}.", window.display());
        Trouble::new(what, "Run it by hand and see what it says.")
    })
}

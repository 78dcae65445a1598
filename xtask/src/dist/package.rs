//! What a Debian package has to hold: its fields, its files, programs that start.

use std::path::Path;

use crate::run;
use crate::trouble::Trouble;

/// Fields of the control file, and what each has to mention.
const FIELDS: &[(&str, &[&str])] = &[
    ("Package", &["dishwright"]),
    ("Architecture", &["amd64", "arm64"]),
    ("Maintainer", &["Dishwright"]),
    ("Section", &["science"]),
    ("Description", &["dish/engine"]),
];

/// Libraries that the programs load and the package has to ask for.
const LIBRARIES: [&str; 3] = ["libssl3", "libwebkit2gtk-4.1-0", "libgtk-3-0"];

/// Files that it has to hold.
const FILES: [&str; 5] = [
    "usr/bin/dishwright",
    "usr/bin/dishwright-window",
    "usr/share/applications/Dishwright.desktop",
    "usr/share/doc/dishwright/copyright",
    "usr/share/icons/hicolor/128x128/apps/dishwright-window.png",
];

/// Looks at everything, also after something was found wrong.
pub(super) fn check(package: &Path) -> Result<(), Trouble> {
    println!("\n== looking into {} ==", package.display());
    let file = package.to_string_lossy();
    let here = Path::new("/");
    let control = run::answer(run::program("dpkg-deb", &["--info", &file], here))?;
    println!("{control}");
    let contents = run::answer(run::program("dpkg-deb", &["--contents", &file], here))?;
    println!("{contents}");
    let mut wrong = fields(&control);
    wrong.extend(files(&contents));
    wrong.extend(unpacked(package)?);
    if wrong.is_empty() {
        println!("The package holds what it should; its programs start.");
        return Ok(());
    }
    let what = format!("The package is not as it should be:\n  {}", wrong.join("\n  "));
    Err(Trouble::new(what, "See src-tauri/tauri.conf.json, which says what goes into it."))
}

fn fields(control: &str) -> Vec<String> {
    let field = |name: &str| {
        let start = format!("{name}: ");
        control.lines().find_map(|line| line.trim_start().strip_prefix(start.as_str()))
    };
    let mut wrong = Vec::new();
    for (name, words) in FIELDS {
        let held = field(name).unwrap_or_default();
        if !words.iter().any(|word| held.contains(word)) {
            wrong.push(format!("the field {name} is {held:?}; expected: {}", words.join(" or ")));
        }
    }
    let depends = field("Depends").unwrap_or_default();
    for library in LIBRARIES.iter().filter(|library| !depends.contains(**library)) {
        wrong.push(format!("it does not depend on {library}"));
    }
    // The long description follows its short line, each line indented by one blank more.
    if !control.contains("The record informs") {
        wrong.push("it has no long description".to_owned());
    }
    wrong
}

fn files(contents: &str) -> Vec<String> {
    // Names begin with "./" or not, by the tool that packed them.
    let name_in = |line: &str| -> String {
        let last = line.split_whitespace().last().unwrap_or_default();
        last.trim_start_matches("./").to_owned()
    };
    let held = |name: &str| contents.lines().any(|line| name_in(line) == name);
    FILES.iter().filter(|name| !held(name)).map(|name| format!("it lacks {name}")).collect()
}

/// Unpacks it beside the system and starts what it holds from there; nothing is installed.
fn unpacked(package: &Path) -> Result<Vec<String>, Trouble> {
    let folder = tempfile::tempdir().map_err(|error| {
        let what = format!("No temporary folder can be made: {error}.");
        Trouble::new(what, "Set TMPDIR to a folder that you may write to.")
    })?;
    let here = folder.path();
    let (file, root) = (package.to_string_lossy(), here.to_string_lossy());
    run::answer(run::program("dpkg-deb", &["--extract", &file, &root], here))?;
    let mut wrong = Vec::new();
    for name in ["dishwright", "dishwright-window"] {
        let program = here.join("usr").join("bin").join(name);
        match run::answer(run::program(program, &["--version"], here)) {
            Ok(said) if said.contains(env!("CARGO_PKG_VERSION")) => {}
            Ok(said) => wrong.push(format!("{name} calls itself {:?}", said.trim())),
            Err(trouble) => wrong.push(format!("{name} does not start: {trouble}")),
        }
    }
    let launcher = here.join("usr/share/applications/Dishwright.desktop");
    let launcher = launcher.to_string_lossy();
    if let Err(trouble) = run::answer(run::program("desktop-file-validate", &[&launcher], here)) {
        wrong.push(format!("its launcher is not valid: {trouble}"));
    }
    Ok(wrong)
}

#[cfg(test)]
mod tests {
    use super::{fields, files};

    const CONTROL: &str = " Package: dishwright\n Version: 0.1.0\n Architecture: amd64\n \
        Maintainer: The Dishwright contributors\n Section: science\n Depends: libssl3, \
        libwebkit2gtk-4.1-0, libgtk-3-0\n Description: For dish/engine generators\n  The record informs.\n";

    #[test]
    fn a_wrong_or_missing_field_is_named() {
        assert!(fields(CONTROL).is_empty(), "{:?}", fields(CONTROL));
        let without = CONTROL.replace("libssl3, ", "");
        assert_eq!(fields(&without), ["it does not depend on libssl3"]);
        let nobody = CONTROL.replace("The Dishwright contributors", "root");
        assert_eq!(fields(&nobody).len(), 1);
        assert_eq!(fields("").len(), 9);
    }

    #[test]
    fn a_missing_file_is_named() {
        let contents = "-rwxr-xr-x 0/0 1 2026-01-01 00:00 ./usr/bin/dishwright-window\n";
        let missing = files(contents);
        assert_eq!(missing.len(), 4);
        assert_eq!(files(&contents.replace("./", "")), missing, "with the dot or without");
        assert_eq!(missing[0], "it lacks usr/bin/dishwright", "a longer name is another file");
    }
}

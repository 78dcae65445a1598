//! System packages, on Debian and what descends from it.

use std::path::Path;

use super::Purpose;
use crate::run;
use crate::trouble::Trouble;

/// A system package, the program that shows it is there on other systems, and what needs it.
struct Package {
    name: &'static str,
    program: &'static str,
    needed_for: Purpose,
}

const fn demo(name: &'static str, program: &'static str) -> Package {
    Package { name, program, needed_for: Purpose::Demo }
}

const fn window(name: &'static str, program: &'static str) -> Package {
    Package { name, program, needed_for: Purpose::Window }
}

const fn tests(name: &'static str, program: &'static str) -> Package {
    Package { name, program, needed_for: Purpose::Tests }
}

const PACKAGES: &[Package] = &[
    demo("build-essential", "cc"),       // links Rust, compiles SQLCipher
    demo("pkg-config", "pkg-config"),    // finds libcrypto for SQLCipher
    demo("libssl-dev", ""),              // libcrypto for SQLCipher
    demo("poppler-utils", "pdfsig"),     // reads the PDF and its signatures
    demo("libnss3-tools", "certutil"),   // gives pdfsig the root to trust
    demo("qpdf", "qpdf"),                // checks the PDF's structure
    window("libwebkit2gtk-4.1-dev", ""), // the view that the window is made of
    window("desktop-file-utils", "desktop-file-validate"), // checks the package's launcher
    tests("jq", "jq"),                   // the recipe of docs/format.md
    tests("openssl", "openssl"),         // the recipe of docs/format.md
    tests("strace", "strace"),           // sees the sync before an answer
    tests("git", "git"),                 // says what codegen changed
    tests("webkit2gtk-driver", "WebKitWebDriver"), // drives the window
    tests("xvfb", "Xvfb"),               // a display for the window
    tests("chromium", "chromium"),       // the screens in a browser
    tests("chromium-driver", "chromedriver"), // drives the browser
];

/// Installs the packages that are missing.
pub(super) fn packages(purpose: Purpose) -> Result<(), Trouble> {
    let wanted: Vec<&Package> = PACKAGES.iter().filter(|p| p.needed_for <= purpose).collect();
    let here = Path::new("/");
    if !run::works(run::program("dpkg-query", &["--version"], here)) {
        return elsewhere(&wanted);
    }
    let mut names: Vec<&str> = wanted.iter().map(|p| p.name).collect();
    if !python_makes_environments() {
        names.extend(["python3", "python3-venv"]);
    }
    let mut arguments = vec!["--show", "--showformat=${Package} ${db:Status-Status}\\n"];
    arguments.extend(&names);
    // It ends with 1 when it knows nothing of a package; what it prints is right all the same.
    let output = run::hear(run::program("dpkg-query", &arguments, here))?;
    let missing = missing(&names, &String::from_utf8_lossy(&output.stdout));
    if missing.is_empty() {
        return Ok(());
    }
    install(&missing)
}

fn missing<'a>(names: &[&'a str], shown: &str) -> Vec<&'a str> {
    let there: Vec<&str> =
        shown.lines().filter_map(|line| line.strip_suffix(" installed")).collect();
    names.iter().copied().filter(|name| !there.contains(name)).collect()
}

fn install(missing: &[&str]) -> Result<(), Trouble> {
    let by_hand = format!(
        "As an administrator: apt-get update && apt-get install --no-install-recommends {}",
        missing.join(" ")
    );
    let here = Path::new("/");
    let root = run::answer(run::program("id", &["-u"], here)).is_ok_and(|id| id.trim() == "0");
    let sudo = run::works(run::program("sudo", &["--version"], here));
    if !root && !sudo {
        let what = format!("System packages are missing: {}.", missing.join(" "));
        return Err(Trouble::new(what, by_hand));
    }
    let apt = |arguments: &[&str]| {
        let mut words = vec!["env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "--quiet"];
        words.extend_from_slice(arguments);
        let command = match words.split_first() {
            Some((first, rest)) if root => run::program(first, rest, here),
            _ => run::program("sudo", &words, here),
        };
        run::show(command).map_err(|trouble| Trouble::new(trouble.to_string(), by_hand.clone()))
    };
    println!("setup: installing system packages: {}", missing.join(" "));
    apt(&["update"])?;
    let mut arguments = vec!["install", "--yes", "--no-install-recommends"];
    arguments.extend_from_slice(missing);
    apt(&arguments)
}

/// On a system without dpkg: says what is missing, installs nothing.
fn elsewhere(wanted: &[&Package]) -> Result<(), Trouble> {
    let lacking: Vec<&str> = wanted
        .iter()
        .filter(|p| !p.program.is_empty())
        .filter(|p| run::hear(run::program(p.program, &["--version"], Path::new("/"))).is_err())
        .map(|p| p.program)
        .collect();
    if lacking.is_empty() {
        return Ok(());
    }
    Err(Trouble::new(
        format!(
            "This is not a Debian system, and these programs are missing: {}.",
            lacking.join(" ")
        ),
        "Install them by your system's own means, with the headers of OpenSSL and, for the window, \
         of WebKitGTK 4.1, and run it again.",
    ))
}

/// True if the `python3` of the path is new enough and can make virtual environments.
fn python_makes_environments() -> bool {
    let question = "import sys, venv, ensurepip; sys.exit(sys.version_info < (3, 11))";
    run::works(run::program("python3", &["-c", question], Path::new("/")))
}

#[cfg(test)]
mod tests {
    use super::missing;

    #[test]
    fn a_removed_or_unknown_package_is_missing() {
        // The form that dpkg-query(1) gives for ${Package} ${db:Status-Status}.
        let shown = "jq installed\nqpdf config-files\nstrace not-installed\n";
        assert_eq!(
            missing(&["jq", "qpdf", "strace", "openssl"], shown),
            ["qpdf", "strace", "openssl"]
        );
        assert!(missing(&["jq"], shown).is_empty());
    }
}

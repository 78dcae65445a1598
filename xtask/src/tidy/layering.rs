//! Which crate depends on which, against the plan; and what may come in from outside at all.

use std::collections::BTreeSet;
use std::path::Path;

use super::finding::Finding;
use super::members::{Dependency, Member};
use super::plan::{DEVELOPMENT, PURE, SPEAK_SQL, place};

/// Outside crates that give a pure crate I/O, time, randomness or async.
const NOT_FOR_PURE: [&str; 14] = [
    "async-std",
    "fastrand",
    "futures",
    "getrandom",
    "mio",
    "rand",
    "rayon",
    "reqwest",
    "rustix",
    "smol",
    "tempfile",
    "tokio",
    "ureq",
    "walkdir",
];

/// Outside crates that speak SQL.
const SQL_BINDINGS: [&str; 3] = ["rusqlite", "tokio-postgres", "postgres"];

/// Outside crates that the house does without; deny.toml says why, and this needs no network.
const BARRED: [&str; 11] = [
    "diesel",
    "ed25519-dalek",
    "jiff",
    "native-tls",
    "openssl",
    "openssl-src",
    "openssl-sys",
    "rsa",
    "sea-orm",
    "sqlite",
    "sqlx",
];

/// Checks every manifest against the plan.
pub(super) fn check(members: &[Member]) -> Vec<Finding> {
    members.iter().flat_map(check_member).collect()
}

fn check_member(member: &Member) -> Vec<Finding> {
    let Some(place) = place(&member.name) else {
        return vec![Finding::new(
            &member.manifest,
            0,
            "layering",
            format!("crate {} has no place in the plan", member.name),
            "give it a place in xtask/src/tidy/plan.rs, or move its code into a crate that has one",
        )];
    };
    let mut found = Vec::new();
    for dependency in &member.dependencies {
        let name = dependency.name.as_str();
        if dependency.local {
            let for_tests = dependency.development && DEVELOPMENT.contains(&name);
            if !place.may_use.contains(&name) && !for_tests {
                let allowed = place.may_use.join(", ");
                let allowed = if allowed.is_empty() { "none of ours" } else { &allowed };
                found.push(Finding::new(
                    &member.manifest,
                    0,
                    "layering",
                    format!("{} depends on {name}; it may use: {allowed}", member.name),
                    "take what it needs as a parameter or a trait, or move the code to the crate \
                     that may",
                ));
            }
        } else if let Some((what, remedy)) = outside(member, dependency) {
            found.push(Finding::new(&member.manifest, 0, "layering", what, remedy));
        }
    }
    found
}

fn outside(member: &Member, dependency: &Dependency) -> Option<(String, &'static str)> {
    let name = dependency.name.as_str();
    let owner = member.name.as_str();
    if dependency.development {
        return None;
    }
    if PURE.contains(&owner) && NOT_FOR_PURE.contains(&name) {
        let what = format!("{owner} is a pure crate and depends on {name}");
        return Some((what, "let the caller pass in what it does"));
    }
    if SQL_BINDINGS.contains(&name) && !SPEAK_SQL.contains(&owner) {
        let what = format!("{owner} depends on the database binding {name}");
        return Some((what, "only store and hub speak SQL; ask them"));
    }
    None
}

/// Checks what is compiled for crates that may not come in, not even through another one. `compiled`
/// has one package a line, name first. The lock file would not do: it also names what some crate
/// could use and does not.
pub(super) fn check_compiled(compiled: &str) -> Vec<Finding> {
    // What follows name and version says where it was seen: "(*)", "(proc-macro)", a folder.
    let package = |line: &str| -> Option<(String, String)> {
        let mut words = line.split_whitespace().map(str::to_owned);
        Some((words.next()?, words.next()?))
    };
    let packages: BTreeSet<(String, String)> = compiled.lines().filter_map(package).collect();
    let lock = Path::new("Cargo.lock");
    let mut found = Vec::new();
    for (barred, _) in packages.iter().filter(|(name, _)| BARRED.contains(&name.as_str())) {
        let what = format!("{barred} came into the dependencies");
        let remedy = format!("`cargo tree -i {barred}` shows by which way; take it out");
        found.push(Finding::new(lock, 0, "barred-crate", what, remedy));
    }
    if packages.iter().filter(|(name, _)| name == "libsqlite3-sys").count() > 1 {
        let what = "there are two SQLite libraries in the dependencies";
        let remedy = "bring every user of it to one version of rusqlite";
        found.push(Finding::new(lock, 0, "barred-crate", what, remedy));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::{check, check_compiled};
    use crate::tidy::members::tests::member;

    #[test]
    fn what_the_plan_allows_is_silent() {
        let members = [
            member("store", &["ours:ledger", "rusqlite", "dev:ours:testkit", "dev:tempfile"]),
            member("ledger", &["sha2", "dev:rand"]),
        ];
        assert_eq!(check(&members).len(), 0);
    }

    #[test]
    fn each_broken_layer_is_named() {
        let cases = [
            (member("ledger", &["ours:store"]), "ledger depends on store"),
            (member("report", &["ours:acceptance"]), "it may use: quantity"),
            (member("store", &["dev:ours:app"]), "store depends on app"),
            (member("store", &["ours:testkit"]), "store depends on testkit"),
            (member("logbook", &["tokio"]), "pure crate"),
            (member("app", &["rusqlite"]), "database binding"),
            (member("helpers", &[]), "no place in the plan"),
        ];
        for (member, words) in cases {
            let found = check(&[member]);
            assert_eq!(found.len(), 1, "{words}");
            assert!(found[0].to_string().contains(words), "{}", found[0]);
        }
    }

    #[test]
    fn a_barred_crate_is_found_among_those_compiled() {
        // The form of `cargo tree --prefix none --format {p}`.
        let compiled = "openssl-sys v0.9.1\nlibsqlite3-sys v0.30.0\nlibsqlite3-sys v0.35.0\n\
                        libsqlite3-sys v0.35.0 (*)\nopenssl-probe v0.1.0\n";
        let found = check_compiled(compiled);
        assert_eq!(found.len(), 2, "{found:?}");
        assert!(found[0].to_string().contains("openssl-sys came into"));
        assert!(found[1].to_string().contains("two SQLite libraries"));
        assert!(
            check_compiled(
                "rusqlite v0.43.0\nlibsqlite3-sys v0.35.0\nlibsqlite3-sys v0.35.0 (*)\n"
            )
            .is_empty()
        );
    }
}

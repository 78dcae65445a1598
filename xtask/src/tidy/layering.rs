//! Which crate depends on which, against the plan; and what may come in from outside at all.

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

/// Checks the lock file for crates that may not come in, not even through another one.
pub(super) fn check_lock(lock: &str) -> Vec<Finding> {
    let mut found = Vec::new();
    let mut sqlite = 0;
    for (number, line) in lock.lines().enumerate() {
        let Some(name) = line.strip_prefix("name = \"").and_then(|l| l.strip_suffix('"')) else {
            continue;
        };
        if BARRED.contains(&name) {
            let what = format!("{name} came into the dependencies");
            let remedy = format!("`cargo tree -i {name}` shows by which way; take it out");
            found.push(Finding::new(
                Path::new("Cargo.lock"),
                number + 1,
                "barred-crate",
                what,
                remedy,
            ));
        }
        sqlite += usize::from(name == "libsqlite3-sys");
        if name == "libsqlite3-sys" && sqlite == 2 {
            let what = "there are two SQLite libraries in the dependencies";
            let remedy = "bring every user of it to one version of rusqlite";
            found.push(Finding::new(
                Path::new("Cargo.lock"),
                number + 1,
                "barred-crate",
                what,
                remedy,
            ));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::{check, check_lock};
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
    fn a_barred_crate_is_found_in_the_lock_file() {
        let lock = "[[package]]\nname = \"openssl-sys\"\n[[package]]\nname = \"libsqlite3-sys\"\n\
                    [[package]]\nname = \"libsqlite3-sys\"\n";
        let found: Vec<_> = check_lock(lock).iter().map(super::Finding::rule_and_line).collect();
        assert_eq!(found, [("barred-crate", 2), ("barred-crate", 6)]);
        assert!(check_lock("name = \"rusqlite\"\nname = \"libsqlite3-sys\"\n").is_empty());
    }
}

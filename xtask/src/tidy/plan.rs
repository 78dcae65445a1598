//! The plan of the house: which crate may depend on which, and what it may never do.
//!
//! The table stands here and nowhere else; `cargo xtask codegen` copies it into DEVELOPERS.md.

/// A crate's place in the plan.
pub(crate) struct Place {
    pub(crate) name: &'static str,
    /// What it is for.
    pub(crate) holds: &'static str,
    /// Our own crates that it may depend on.
    pub(crate) may_use: &'static [&'static str],
    /// What it may never do.
    pub(crate) never: &'static str,
}

/// Crates without I/O, clock, randomness, environment or async.
pub(crate) const PURE: [&str; 5] = ["quantity", "acceptance", "ledger", "logbook", "report"];

/// The only crates that speak SQL.
pub(crate) const SPEAK_SQL: [&str; 2] = ["store", "hub"];

/// The crates whose verdicts or bytes must not depend on the platform's mathematics.
pub(crate) const EXACT: [&str; 3] = ["quantity", "acceptance", "report"];

/// Crates that serve the development only; anything may use them for its tests.
pub(crate) const DEVELOPMENT: [&str; 1] = ["testkit"];

/// Places for crates that come later are kept: a crate that isn't in the table is a finding.
pub(crate) const PLAN: &[Place] = &[
    Place {
        name: "quantity",
        holds: "numbers with units, bounds and uncertainty; reading what people type; decisions of conformity",
        may_use: &[],
        never: "do I/O; read a clock, randomness or the environment; be async (the same for the next four)",
    },
    Place {
        name: "acceptance",
        holds: "the calculations: one file each, pure functions, source and validity in the docs",
        may_use: &["quantity"],
        never: "take or return a bare float across its border; hold a constant without a source",
    },
    Place {
        name: "ledger",
        holds: "entries: exact bytes, hash, chain, signature, frontier, proof of a fork",
        may_use: &[],
        never: "know any payload beyond its own kinds; write bytes again in order to verify them",
    },
    Place {
        name: "logbook",
        holds: "the domain: checklists, events, the fold, proofs, the rules of who may do what",
        may_use: &["quantity", "acceptance", "ledger"],
        never: "drop an entry that it doesn't know",
    },
    Place {
        name: "report",
        holds: "a finished view model to figures and PDF bytes; PDF/A, signing, verifying",
        may_use: &["quantity"],
        never: "compute a verdict; give other bytes for the same input",
    },
    Place {
        name: "store",
        holds: "SQLite: append, read, projections, attachments, encryption, backup, check; durable files",
        may_use: &["ledger", "logbook"],
        never: "hand out a connection; update or delete an entry",
    },
    Place {
        name: "exchange",
        holds: "carriers of entries between installations",
        may_use: &["ledger"],
        never: "parse a payload; trust a peer's claim; pick a winner",
    },
    Place {
        name: "hub",
        holds: "the server of a site or a company",
        may_use: &["ledger", "exchange"],
        never: "parse a payload",
    },
    Place {
        name: "app",
        holds: "the use cases: one typed API for every front end; owns clock, keys, transactions, error codes",
        may_use: &["quantity", "acceptance", "ledger", "logbook", "report", "store", "exchange"],
        never: "leak a driver's type; raise an error without a code, a sentence and a next step",
    },
    Place {
        name: "cli",
        holds: "the `dishwright` command",
        may_use: &["app", "hub"],
        never: "contain an `if` about the domain",
    },
    Place {
        name: "window",
        holds: "`src-tauri/`: the desktop window, its permissions and the dialogs of the system",
        may_use: &["app"],
        never: "contain an `if` about the domain; offer the page a command that `build.rs` does not list",
    },
    Place {
        name: "testkit",
        holds: "for tests: devices, clocks, faulty disks, fixtures, conformance suites",
        may_use: &["quantity", "acceptance", "ledger", "logbook", "report", "store"],
        never: "be compiled into the product",
    },
    Place {
        name: "tests",
        holds: "what crosses crates: the story, published tables, faults, outside verifiers",
        may_use: &[
            "quantity",
            "acceptance",
            "ledger",
            "logbook",
            "report",
            "store",
            "exchange",
            "hub",
            "app",
            "testkit",
        ],
        never: "repeat the product's own arithmetic as the expected value",
    },
    Place {
        name: "xtask",
        holds: "the repository's commands: demo, test, setup, ui, dist, tidy, codegen",
        may_use: &[],
        never: "know the domain",
    },
];

/// The line after which the crate table stands in a document.
pub(crate) const BEGIN: &str = "<!-- crate table: written by `cargo xtask codegen` -->";
/// The line before which it ends.
pub(crate) const END: &str = "<!-- end of the crate table -->";

/// The place of the crate with this name.
pub(crate) fn place(name: &str) -> Option<&'static Place> {
    PLAN.iter().find(|place| place.name == name)
}

/// The table of the crates that exist, in Markdown.
pub(crate) fn table(members: &[&str]) -> String {
    let mut text =
        String::from("| crate | holds | may depend on (ours) | may never |\n|---|---|---|---|\n");
    for place in PLAN.iter().filter(|place| members.contains(&place.name)) {
        let uses: Vec<&str> =
            place.may_use.iter().copied().filter(|name| members.contains(name)).collect();
        let uses = if uses.is_empty() { "–".to_owned() } else { uses.join(", ") };
        text.push_str(&format!(
            "| {} | {} | {uses} | {} |\n",
            place.name, place.holds, place.never
        ));
    }
    text
}

/// The document with the table put between its marks; nothing if it lacks them.
pub(crate) fn put_table(document: &str, table: &str) -> Option<String> {
    let (before, rest) = document.split_once(BEGIN)?;
    let (_, after) = rest.split_once(END)?;
    Some(format!("{before}{BEGIN}\n{table}{END}{after}"))
}

#[cfg(test)]
mod tests {
    use super::{BEGIN, END, PLAN, place, put_table, table};

    #[test]
    fn a_crate_only_uses_crates_that_stand_in_the_plan_and_not_in_a_circle() {
        for start in PLAN {
            let mut reached: Vec<&str> = start.may_use.to_vec();
            let mut next = 0;
            while let Some(name) = reached.get(next).copied() {
                assert_ne!(name, start.name, "{name} may reach itself");
                let place = place(name).unwrap_or_else(|| panic!("{name} is not in the plan"));
                let new: Vec<&str> =
                    place.may_use.iter().copied().filter(|n| !reached.contains(n)).collect();
                reached.extend(new);
                next += 1;
            }
        }
    }

    #[test]
    fn the_table_names_only_what_exists_and_replaces_the_old_one() {
        let table = table(&["ledger", "store"]);
        assert_eq!(table.lines().count(), 4, "{table}");
        assert!(table.contains("| store | SQLite"));
        assert!(table.contains("| ledger |"), "logbook is left out as long as it does not exist");
        let old = format!("a\n{BEGIN}\nstale\n{END}\nb\n");
        let new = put_table(&old, &table).unwrap();
        assert_eq!(put_table(&new, &table), Some(new.clone()));
        assert!(!new.contains("stale") && new.starts_with("a\n") && new.ends_with("\nb\n"));
        assert_eq!(put_table("no marks", &table), None);
    }
}

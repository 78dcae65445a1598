//! DEVELOPERS.md shows the crates that exist, and links lead somewhere.

use std::path::Path;

use super::finding::Finding;
use super::members::Member;
use super::plan;
use super::{files, read};
use crate::trouble::Trouble;

/// Checks the crate table and every link to a file of the clone.
pub(super) fn check(root: &Path, members: &[Member]) -> Result<Vec<Finding>, Trouble> {
    let names: Vec<&str> = members.iter().map(|member| member.name.as_str()).collect();
    let developers = Path::new("DEVELOPERS.md");
    let mut found = table(developers, &read(&root.join(developers))?, &names);
    let mut documents = vec![root.join("README.md"), root.join(developers)];
    documents.extend(files(&root.join("docs"), &["md"])?);
    for path in documents {
        let folder = path.parent().unwrap_or(root);
        let relative = path.strip_prefix(root).unwrap_or(&path);
        found.extend(links(relative, &read(&path)?, |link| folder.join(link).exists()));
    }
    Ok(found)
}

fn table(path: &Path, text: &str, names: &[&str]) -> Vec<Finding> {
    let wanted = plan::put_table(text, &plan::table(names));
    if wanted.as_deref() == Some(text) {
        return vec![];
    }
    let what = "the crate table is not that of the plan and the workspace";
    vec![Finding::new(path, 0, "crate-table", what, "run `cargo xtask codegen`")]
}

fn links(path: &Path, text: &str, exists: impl Fn(&str) -> bool) -> Vec<Finding> {
    let mut found = Vec::new();
    for (index, line) in text.lines().enumerate() {
        for (_, rest) in line.match_indices("](").map(|(at, _)| line.split_at(at + 2)) {
            let Some((link, _)) = rest.split_once(')') else { continue };
            let file = link.split('#').next().unwrap_or_default();
            if file.is_empty() || link.contains("://") || exists(file) {
                continue;
            }
            let what = format!("the link to {link} leads nowhere");
            found.push(Finding::new(path, index + 1, "link", what, "correct it or take it away"));
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::{links, table};
    use crate::tidy::plan::{self, BEGIN, END};
    use std::path::Path;

    #[test]
    fn a_stale_or_missing_table_is_found() {
        let path = Path::new("DEVELOPERS.md");
        let names = ["ledger", "store"];
        let good = format!("a\n{BEGIN}\n{}{END}\n", plan::table(&names));
        assert!(table(path, &good, &names).is_empty());
        assert_eq!(table(path, &good, &["ledger"]).len(), 1);
        assert_eq!(table(path, &good.replace("SQLite", "sqlite"), &names).len(), 1);
        assert_eq!(table(path, "no table", &names).len(), 1);
    }

    #[test]
    fn a_link_that_leads_nowhere_is_found() {
        let text = "[a](docs/a.md#b) [c](gone.md)\n[d](#here) [e](https://example.org/)\n";
        let found = links(Path::new("README.md"), text, |link| link == "docs/a.md");
        let found: Vec<_> = found.iter().map(super::Finding::rule_and_line).collect();
        assert_eq!(found, [("link", 1)]);
    }
}

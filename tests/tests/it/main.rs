//! Tests of what crosses crates: the story from the first act to the signed report, the program
//! as its users call it, other people's tools on what it wrote, and data folders of older builds.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a helper of the tests that fails is a test that fails"
)]

mod alignment;
mod changed;
mod folders;
mod golden;
mod outside;
mod performance;
mod played;
mod program;
mod raw;
mod refused;
mod story;
mod tampered;
mod tool;
mod wrong_uses;

/// A module file that no `mod` names would compile nowhere and test nothing.
#[test]
fn every_module_file_is_compiled() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/it");
    let main = include_str!("main.rs");
    let mut modules = 0;
    for file in std::fs::read_dir(folder).unwrap() {
        let name = file.unwrap().file_name().into_string().unwrap();
        let module = name.strip_suffix(".rs").unwrap_or(&name);
        if module == "main" {
            continue;
        }
        assert!(main.contains(&format!("\nmod {module};")), "{name} is in no `mod` line");
        modules += 1;
    }
    assert_eq!(modules, main.matches("\nmod ").count());
}

//! The screens end to end: the program itself, a real browser or the real window, keys and clicks.
//!
//! Each journey works on its own copy of the invented site, as the story left it. `cargo xtask test
//! screens` builds what is needed and says where the programs are; by hand they are looked for
//! beside the tests.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a helper of the tests that fails is a test that fails"
)]

mod calculations;
mod driver;
mod entering;
mod handover;
mod imports;
mod killed;
mod looks;
mod page;
mod pictures;
mod process;
mod reading;
mod site;
mod stage;
mod weather;

/// A module file that no `mod` names would compile nowhere and test nothing.
#[test]
fn every_module_file_is_compiled() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/screens");
    let main = include_str!("main.rs");
    let mut modules = 0;
    for file in std::fs::read_dir(folder).unwrap() {
        let name = file.unwrap().file_name().into_string().unwrap();
        let Some(module) = name.strip_suffix(".rs").filter(|&name| name != "main") else {
            continue;
        };
        assert!(main.contains(&format!("\nmod {module};")), "{name} is in no `mod` line");
        modules += 1;
    }
    assert_eq!(modules, main.matches("\nmod ").count());
}

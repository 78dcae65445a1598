//! The app's use cases as a front end calls them, on a store in a temporary folder.

#![expect(clippy::unwrap_used, reason = "a fixture that cannot be made is a failed test")]
#![expect(clippy::panic, reason = "an answer that is not as agreed is a failed test")]

mod calculations;
mod copies;
mod door;
mod drafts;
mod forged;
mod handed_over;
mod looked_at;
mod people;
mod record_only;
mod site;
mod tablet;
mod weather;

#[test]
fn no_module_was_forgotten() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/it");
    let main = std::fs::read_to_string(format!("{folder}/main.rs")).unwrap();
    for file in std::fs::read_dir(folder).unwrap() {
        let name = file.unwrap().file_name().into_string().unwrap();
        let module = name.trim_end_matches(".rs");
        assert!(module == "main" || main.contains(&format!("mod {module};")), "{name}");
    }
}

//! Names the commands that the window's page may call; a command that is not listed here gets no
//! permission, and the page can't reach it.

use std::path::Path;

use tauri_build::{AppManifest, Attributes};

/// All of them. `call` leads to the one dispatcher of the app; the other opens a dialog of the
/// system, which only the window can do.
const COMMANDS: &[&str] = &["call", "choose_save_path"];

fn main() {
    if !Path::new("../ui/dist/index.html").exists() {
        println!("cargo::error=ui/dist holds no built screens. Run `cargo xtask ui` first.");
        return;
    }
    let attributes = Attributes::new().app_manifest(AppManifest::new().commands(COMMANDS));
    if let Err(error) = tauri_build::try_build(attributes) {
        println!("cargo::error=The window's configuration was not accepted: {error:#}");
    }
}

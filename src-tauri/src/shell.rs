//! Starts the window: the door to the app, the page, and the end.

use std::process::ExitCode;
use std::sync::Arc;

use app::door::{Door, DoorConfig};
use tauri::WebviewWindowBuilder;

use crate::arguments::Arguments;
use crate::commands;

/// Opens the window and stays until it is closed.
pub(crate) fn run(arguments: &Arguments) -> ExitCode {
    let door = Door::new(DoorConfig {
        data: arguments.folder(),
        secrets: arguments.secrets.clone(),
        demo: arguments.demo.is_some(),
    });
    // Only a demonstration's folder is read before the window is there, and a terminal named it.
    let door = match door {
        Ok(door) => door,
        Err(error) => {
            complain(&error.to_string());
            return ExitCode::FAILURE;
        }
    };
    let ended = tauri::Builder::default()
        .plugin(tauri_plugin_dialog::init())
        .manage(Arc::new(door))
        .invoke_handler(tauri::generate_handler![commands::call, commands::choose_save_path])
        .setup(|app| {
            for window in &app.config().app.windows {
                WebviewWindowBuilder::from_config(app, window)?.build()?;
            }
            Ok(())
        })
        .run(tauri::generate_context!());
    match ended {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            complain(&format!(
                "The window could not be opened: {error}. On a machine without a display, run \
                 `dishwright serve` and open the address that it prints in a browser."
            ));
            ExitCode::FAILURE
        }
    }
}

#[expect(clippy::print_stderr, reason = "without a window there is nowhere else to say it")]
fn complain(words: &str) {
    eprintln!("{words}");
}

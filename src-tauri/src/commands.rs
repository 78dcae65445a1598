//! The commands that the page may call. Each is listed in `build.rs` and in the capability file.

use std::sync::Arc;

use app::door::Door;
use app::error::AppError;
use serde_json::Value;
use tauri::{AppHandle, Runtime, State, async_runtime};
use tauri_plugin_dialog::DialogExt;

/// Asks the app: the same names, arguments and answers as over HTTP. The app may wait for a disk
/// or stretch a key, so it works on a thread of its own and the window stays alive.
#[tauri::command]
pub(crate) async fn call(
    door: State<'_, Arc<Door>>,
    name: String,
    args: Value,
) -> Result<Value, AppError> {
    let door = Arc::clone(&door);
    aside("The call", move || door.call(&name, args)).await?
}

/// Asks the person where to save a file; nothing is written here. No path means that they turned
/// back.
#[tauri::command]
pub(crate) async fn choose_save_path<R: Runtime>(
    handle: AppHandle<R>,
    file_name: String,
) -> Result<Option<String>, AppError> {
    let ask = move || handle.dialog().file().set_file_name(file_name).blocking_save_file();
    Ok(aside("The dialog", ask).await?.map(|path| path.to_string()))
}

/// Runs it on a thread where waiting harms nobody. A panic there is an error here, and the window
/// goes on.
async fn aside<T: Send + 'static>(
    doing: &'static str,
    work: impl FnOnce() -> T + Send + 'static,
) -> Result<T, AppError> {
    let ended = async_runtime::spawn_blocking(work).await;
    ended.map_err(|error| AppError::internal(doing, error))
}

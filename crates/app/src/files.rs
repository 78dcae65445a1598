//! Small file operations of the app, each error naming the path and the next step.

use std::path::Path;

use crate::error::{AppError, Result};

/// Reads a file whole.
pub(crate) fn read(path: &Path) -> Result<Vec<u8>> {
    std::fs::read(path).map_err(|cause| {
        AppError::new(
            "file.unreadable",
            format!("{} can't be read: {cause}.", path.display()),
            "See that the path is right and that this user may read it, then try again.",
        )
    })
}

/// Writes a new file durably; one that exists is never replaced.
pub(crate) fn write_new(path: &Path, bytes: &[u8]) -> Result<()> {
    if path.exists() {
        return Err(AppError::new(
            "file.exists",
            format!("{} exists already, and is not replaced.", path.display()),
            "Choose another name, or move the old file away.",
        ));
    }
    Ok(store::durable::write(path, bytes)?)
}

/// Makes a folder, or takes an empty one.
pub(crate) fn empty_folder(path: &Path) -> Result<()> {
    let unusable = |cause: &dyn std::fmt::Display| {
        AppError::new(
            "folder.unusable",
            format!(
                "{} can't be written into: {}.",
                path.display(),
                cause.to_string().trim_end_matches('.')
            ),
            "Choose a folder that this user may write, and try again. Nothing was written.",
        )
    };
    store::durable::create_folder(path).map_err(|cause| unusable(&cause))?;
    let mut entries = std::fs::read_dir(path).map_err(|cause| unusable(&cause))?;
    if entries.next().is_some() {
        return Err(AppError::new(
            "folder.not_empty",
            format!("{} is not empty.", path.display()),
            "Choose a new folder, or empty this one first. Nothing was written.",
        ));
    }
    tempfile_probe(path).map_err(|cause| unusable(&cause))
}

/// A folder can be listed and yet not written.
fn tempfile_probe(path: &Path) -> std::io::Result<()> {
    let probe = path.join(".write-probe");
    std::fs::write(&probe, b"probe")?;
    std::fs::remove_file(&probe)
}

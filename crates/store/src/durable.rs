//! The one way this program writes a file: complete, or not at all.
//!
//! Temporary name in the same folder, bytes, flush to the medium, rename, flush the folder. A
//! file that appears under its name is whole, also after power was lost. The app uses these
//! functions too, so that there is no second way.

use std::fs::{self, File, OpenOptions};
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicU64, Ordering};

use crate::error::{Result, StoreError};

/// The ending of a file that is not finished; nothing ever reads such a file.
pub const UNFINISHED: &str = "unfinished";

/// Writes `bytes` to `path`, replacing what was there, and returns once they are on the medium.
pub fn write(path: &Path, bytes: &[u8]) -> Result<()> {
    write_with(path, |out| out.write_all(bytes))
}

/// As [`write()`], readable by the owner alone where the system knows such a thing.
pub fn write_private(path: &Path, bytes: &[u8]) -> Result<()> {
    replace(path, true, |out| out.write_all(bytes))
}

/// As [`write()`], with the bytes streamed by `fill`.
pub fn write_with(path: &Path, fill: impl FnOnce(&mut dyn Write) -> io::Result<()>) -> Result<()> {
    replace(path, false, fill)
}

/// Makes `folder` and all above it, and returns once the names are on the medium.
pub fn create_folder(folder: &Path) -> Result<()> {
    if folder.is_dir() {
        return Ok(());
    }
    if let Some(above) = folder.parent().filter(|above| !above.as_os_str().is_empty()) {
        create_folder(above)?;
    }
    match fs::create_dir(folder) {
        Ok(()) => sync_folder(parent(folder)),
        Err(cause) if cause.kind() == io::ErrorKind::AlreadyExists && folder.is_dir() => Ok(()),
        Err(cause) => Err(StoreError::writing(folder, cause)),
    }
}

/// Gives the finished file `from` its name `to` in the same folder, durably.
pub(crate) fn rename(from: &Path, to: &Path) -> Result<()> {
    fs::rename(from, to).map_err(|cause| StoreError::writing(to, cause))?;
    sync_folder(parent(to))
}

/// Flushes a file that somebody else wrote.
pub(crate) fn sync_file(path: &Path) -> Result<()> {
    OpenOptions::new()
        .read(true)
        .write(true)
        .open(path)
        .and_then(|file| file.sync_all())
        .map_err(|cause| StoreError::writing(path, cause))
}

/// Flushes the names in a folder. Some media can't; they say so with `Invalid input`, and then
/// the rename is as durable as that medium makes it.
pub(crate) fn sync_folder(folder: &Path) -> Result<()> {
    #[cfg(unix)]
    {
        let flushed = File::open(folder).and_then(|opened| opened.sync_all());
        match flushed {
            Err(cause) if cause.kind() == io::ErrorKind::InvalidInput => Ok(()),
            other => other.map_err(|cause| StoreError::writing(folder, cause)),
        }
    }
    // Elsewhere a folder can't be opened as a file; the rename is flushed with the file's data.
    #[cfg(not(unix))]
    {
        let _ = folder;
        Ok(())
    }
}

/// The folder that holds `path`.
pub(crate) fn parent(path: &Path) -> &Path {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

fn replace(
    path: &Path,
    private: bool,
    fill: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> Result<()> {
    let unfinished = unfinished_name(path);
    let written = write_and_flush(&unfinished, private, fill);
    if let Err(cause) = written {
        // The refusal is what matters; a leftover has a name that nothing reads.
        let _ = fs::remove_file(&unfinished);
        return Err(StoreError::writing(path, cause));
    }
    rename(&unfinished, path)
}

fn write_and_flush(
    path: &Path,
    private: bool,
    fill: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> io::Result<()> {
    let mut options = OpenOptions::new();
    options.write(true).create(true).truncate(true);
    #[cfg(unix)]
    if private {
        std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    }
    #[cfg(not(unix))]
    let _ = private;
    let mut out = BufWriter::new(options.open(path)?);
    fill(&mut out)?;
    out.into_inner().map_err(io::IntoInnerError::into_error)?.sync_all()
}

/// A temporary name for `path` that no other writer uses.
pub(crate) fn unfinished_name(path: &Path) -> PathBuf {
    static COUNT: AtomicU64 = AtomicU64::new(0);
    let count = COUNT.fetch_add(1, Ordering::Relaxed);
    let mut name = path.file_name().unwrap_or_default().to_owned();
    name.push(format!(".{}-{count}.{UNFINISHED}", std::process::id()));
    path.with_file_name(name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_failed_write_leaves_the_old_file_and_no_leftover() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("export.jsonl");
        write(&path, b"old").unwrap();
        let full = || io::Error::from(io::ErrorKind::StorageFull);
        let refused = write_with(&path, |out| {
            out.write_all(b"half of the ne")?;
            Err(full())
        });
        assert_eq!(refused.unwrap_err().code(), "out_of_space");
        assert_eq!(fs::read(&path).unwrap(), b"old");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1);
    }

    #[test]
    fn a_file_in_the_way_of_a_folder_is_named() {
        let folder = tempfile::tempdir().unwrap();
        let file = folder.path().join("taken");
        write(&file, b"x").unwrap();
        let refused = create_folder(&file.join("below")).unwrap_err();
        assert_eq!(refused.code(), "unwritable");
        assert!(refused.to_string().contains("taken"), "{refused}");
        assert_eq!(fs::read(&file).unwrap(), b"x");
    }

    #[cfg(unix)]
    #[test]
    fn a_private_file_is_its_owners_alone() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("secret");
        write_private(&path, b"s").unwrap();
        assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o600);
    }
}

//! The keys of a data folder: `keys.json`, the passphrase that opens it, and the secret that the
//! installation keeps outside the folder.
//!
//! The database has one random key for life. `keys.json` holds it wrapped under the passphrase
//! (Argon2id, then XChaCha20-Poly1305), so that a backup opens on another machine when this one
//! is lost. Beside it stands the seal: a random value wrapped under passphrase *and* outside
//! secret. A folder whose seal doesn't open on this machine is a copy. Changing the passphrase
//! rewraps both and touches nothing else.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use argon2::{Algorithm, Argon2, Params, Version};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use chacha20poly1305::aead::{Aead, KeyInit, Payload};
use chacha20poly1305::{XChaCha20Poly1305, XNonce};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use zeroize::Zeroizing;

use crate::durable;
use crate::error::{Result, StoreError};

/// The file in the data folder that holds the wrapped keys.
pub const KEY_FILE: &str = "keys.json";

const FORMAT: u32 = 1;
const MAX_KEY_FILE: u64 = 64 * 1024;

/// 32 secret bytes, wiped when dropped.
pub(crate) type Secret = Zeroizing<[u8; 32]>;

/// How much work one guess at the passphrase costs (Argon2id, RFC 9106).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct KdfCost {
    /// Memory in KiB.
    pub memory_kib: u32,
    /// Passes over that memory.
    pub passes: u32,
}

impl KdfCost {
    /// What a real installation uses: 128 MiB and 4 passes, about half a second on a slow tablet.
    /// RFC 9106 section 4 advises 64 MiB and 3 passes where memory is short.
    pub const STANDARD: Self = Self { memory_kib: 131_072, passes: 4 };

    /// For tests alone: a guess costs next to nothing. `check` warns about a folder made with it.
    pub const TRIVIAL: Self = Self { memory_kib: 8, passes: 1 };

    /// Whether this is less than RFC 9106 advises for small machines.
    pub(crate) fn is_weak(self) -> bool {
        self.memory_kib < 65_536 || self.passes < 3
    }
}

impl Default for KdfCost {
    fn default() -> Self {
        Self::STANDARD
    }
}

#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Wrapped {
    nonce: String,
    sealed: String,
}

#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct KeyFile {
    format: u32,
    /// Names this folder's secret outside, and binds both wraps to it.
    folder: String,
    kdf: String,
    cost: KdfCost,
    salt: String,
    cipher: String,
    database: Wrapped,
    seal: Wrapped,
}

/// The opened keys of a folder.
pub(crate) struct Keyring {
    pub(crate) database: Secret,
    pub(crate) folder: String,
    pub(crate) cost: KdfCost,
    pub(crate) seal: Seal,
}

/// Whether the seal opened, i.e. whether the folder is the original.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Seal {
    Opened,
    /// No secret of that name on this machine.
    Missing(PathBuf),
    /// A secret that doesn't fit.
    Foreign(PathBuf),
}

/// Where a folder's secret is kept.
pub(crate) fn secret_path(outside: &Path, folder_name: &str) -> PathBuf {
    outside.join(format!("{folder_name}.secret"))
}

/// Makes fresh keys and stores the outside secret; nothing is in `dir` yet.
pub(crate) fn fresh(outside: &Path, cost: KdfCost) -> Result<Keyring> {
    let folder = hex::encode(random::<16>()?);
    let keyring = Keyring { database: random_secret()?, folder, cost, seal: Seal::Opened };
    new_outside_secret(outside, &keyring.folder)?;
    Ok(keyring)
}

/// Opens the keys of `dir`; a seal that doesn't open is reported in [`Keyring::seal`].
pub(crate) fn open(dir: &Path, outside: &Path, passphrase: &str) -> Result<Keyring> {
    let file = read(dir)?;
    let path = dir.join(KEY_FILE);
    let damaged = |reason: &str| StoreError::Keys { path: path.clone(), reason: reason.to_owned() };
    let salt = BASE64.decode(&file.salt).map_err(|_| damaged("the salt is not base64"))?;
    let stretched = stretch(passphrase, &salt, file.cost)?;
    let database = unwrap(&file.database, &database_key(&stretched), &file.folder)
        .map_err(|reason| damaged(&reason))?
        .ok_or_else(|| StoreError::WrongPassphrase(dir.to_owned()))?;
    let secret = secret_path(outside, &file.folder);
    let seal = match read_outside_secret(&secret)? {
        None => Seal::Missing(secret),
        Some(bytes) => {
            let opened = unwrap(&file.seal, &seal_key(&stretched, &bytes), &file.folder)
                .map_err(|reason| damaged(&reason))?;
            if opened.is_some() { Seal::Opened } else { Seal::Foreign(secret) }
        }
    };
    Ok(Keyring { database, folder: file.folder, cost: file.cost, seal })
}

/// Wraps the keys under `passphrase` and writes `keys.json`. The database is not touched.
pub(crate) fn write(dir: &Path, outside: &Path, keyring: &Keyring, passphrase: &str) -> Result<()> {
    let path = secret_path(outside, &keyring.folder);
    let secret = read_outside_secret(&path)?.ok_or_else(|| StoreError::Copy {
        folder: dir.to_owned(),
        secret: path,
        found: false,
    })?;
    write_wrapped(dir, keyring, passphrase, &secret)
}

/// Makes a copied folder this machine's own: new name, new outside secret, same database key.
pub(crate) fn adopt(dir: &Path, outside: &Path, keyring: &Keyring, passphrase: &str) -> Result<()> {
    let adopted = Keyring {
        database: keyring.database.clone(),
        folder: hex::encode(random::<16>()?),
        cost: keyring.cost,
        seal: Seal::Opened,
    };
    let secret = new_outside_secret(outside, &adopted.folder)?;
    write_wrapped(dir, &adopted, passphrase, &secret)
}

fn write_wrapped(dir: &Path, keyring: &Keyring, passphrase: &str, secret: &Secret) -> Result<()> {
    if passphrase.is_empty() {
        return Err(StoreError::EmptyPassphrase);
    }
    let salt = random::<16>()?;
    let stretched = stretch(passphrase, &salt, keyring.cost)?;
    let file = KeyFile {
        format: FORMAT,
        folder: keyring.folder.clone(),
        kdf: "argon2id-19".to_owned(),
        cost: keyring.cost,
        salt: BASE64.encode(salt),
        cipher: "xchacha20poly1305".to_owned(),
        database: wrap(&keyring.database, &database_key(&stretched), &keyring.folder)?,
        seal: wrap(&random_secret()?, &seal_key(&stretched, secret), &keyring.folder)?,
    };
    let text = serde_json::to_vec_pretty(&file).map_err(|cause| StoreError::Crypto {
        doing: "Writing the keys",
        cause: cause.to_string(),
    })?;
    durable::write_private(&dir.join(KEY_FILE), &text)
}

fn read(dir: &Path) -> Result<KeyFile> {
    let path = dir.join(KEY_FILE);
    let damaged = |reason: String| StoreError::Keys { path: path.clone(), reason };
    let length = match fs::metadata(&path) {
        Ok(meta) => meta.len(),
        Err(cause) if cause.kind() == io::ErrorKind::NotFound => {
            return Err(damaged("it is missing".to_owned()));
        }
        Err(cause) => return Err(StoreError::reading(&path, cause)),
    };
    if length > MAX_KEY_FILE {
        return Err(damaged(format!("it is {length} bytes long")));
    }
    let text = fs::read(&path).map_err(|cause| StoreError::reading(&path, cause))?;
    let file: KeyFile =
        serde_json::from_slice(&text).map_err(|cause| damaged(cause.to_string()))?;
    if file.format != FORMAT {
        return Err(damaged(format!("format {} is not known to this build", file.format)));
    }
    if file.kdf != "argon2id-19" || file.cipher != "xchacha20poly1305" {
        return Err(damaged(format!("{} with {} is not known", file.kdf, file.cipher)));
    }
    // The figures come from a file that somebody may have edited: no more memory than a GiB.
    if file.cost.memory_kib > 1_048_576 || file.cost.passes > 1_000 {
        return Err(damaged("it asks for more work than any build writes".to_owned()));
    }
    // The name becomes part of a path, so nothing but hex may stand in it.
    if file.folder.len() != 32 || !file.folder.bytes().all(|b| b.is_ascii_hexdigit()) {
        return Err(damaged("the folder's name is not 32 hex digits".to_owned()));
    }
    Ok(file)
}

/// A secret that only this folder on this machine yields, for what must not open elsewhere. It
/// doesn't depend on the passphrase, so it outlives a change of it.
pub(crate) fn machine_secret(dir: &Path, outside: &Path, keyring: &Keyring) -> Result<Secret> {
    let path = secret_path(outside, &keyring.folder);
    let missing =
        || StoreError::Copy { folder: dir.to_owned(), secret: path.clone(), found: false };
    if keyring.seal != Seal::Opened {
        return Err(missing());
    }
    let secret = read_outside_secret(&path)?.ok_or_else(missing)?;
    Ok(derive(&[b"dishwright machine secret 1", secret.as_slice(), keyring.folder.as_bytes()]))
}

fn new_outside_secret(outside: &Path, folder: &str) -> Result<Secret> {
    let secret = random_secret()?;
    durable::create_folder(outside)?;
    let text = Zeroizing::new(hex::encode(*secret));
    durable::write_private(&secret_path(outside, folder), text.as_bytes())?;
    Ok(secret)
}

fn read_outside_secret(path: &Path) -> Result<Option<Secret>> {
    let text = match fs::read(path) {
        Ok(text) => Zeroizing::new(text),
        Err(cause) if cause.kind() == io::ErrorKind::NotFound => return Ok(None),
        Err(cause) => return Err(StoreError::reading(path, cause)),
    };
    let mut secret = Secret::default();
    // A damaged secret can't open the seal either: all zeros stand for it.
    if hex::decode_to_slice(text.trim_ascii(), secret.as_mut_slice()).is_err() {
        secret.fill(0);
    }
    Ok(Some(secret))
}

fn stretch(passphrase: &str, salt: &[u8], cost: KdfCost) -> Result<Secret> {
    let failed = |cause: argon2::Error| StoreError::Crypto {
        doing: "Stretching the passphrase",
        cause: cause.to_string(),
    };
    let params = Params::new(cost.memory_kib, cost.passes, 1, Some(32)).map_err(failed)?;
    let mut out = Secret::default();
    Argon2::new(Algorithm::Argon2id, Version::V0x13, params)
        .hash_password_into(passphrase.as_bytes(), salt, out.as_mut_slice())
        .map_err(failed)?;
    Ok(out)
}

fn database_key(stretched: &Secret) -> Secret {
    derive(&[b"dishwright database key 1", stretched.as_slice()])
}

fn seal_key(stretched: &Secret, outside: &Secret) -> Secret {
    derive(&[b"dishwright folder seal 1", stretched.as_slice(), outside.as_slice()])
}

fn derive(parts: &[&[u8]]) -> Secret {
    let mut hash = Sha256::new();
    for part in parts {
        hash.update(part);
    }
    Zeroizing::new(hash.finalize().into())
}

fn wrap(secret: &Secret, key: &Secret, folder: &str) -> Result<Wrapped> {
    let nonce = random::<24>()?;
    let payload = Payload { msg: secret.as_slice(), aad: folder.as_bytes() };
    let sealed = XChaCha20Poly1305::new(key.as_slice().into())
        .encrypt(XNonce::from_slice(&nonce), payload)
        .map_err(|cause| StoreError::Crypto {
            doing: "Wrapping a key",
            cause: cause.to_string(),
        })?;
    Ok(Wrapped { nonce: BASE64.encode(nonce), sealed: BASE64.encode(sealed) })
}

/// `Ok(None)` when the key doesn't fit, `Err` when the text can't be what was written.
fn unwrap(wrapped: &Wrapped, key: &Secret, folder: &str) -> Result<Option<Secret>, String> {
    let text = |part: &str, name| BASE64.decode(part).map_err(|_| format!("{name} is not base64"));
    let nonce = text(&wrapped.nonce, "a nonce")?;
    let sealed = text(&wrapped.sealed, "a wrapped key")?;
    if nonce.len() != 24 || sealed.len() != 48 {
        return Err("a wrapped key has another length".to_owned());
    }
    let payload = Payload { msg: &sealed, aad: folder.as_bytes() };
    let opened = XChaCha20Poly1305::new(key.as_slice().into())
        .decrypt(XNonce::from_slice(&nonce), payload)
        .map(Zeroizing::new);
    Ok(opened.ok().and_then(|bytes| {
        let mut secret = Secret::default();
        secret.copy_from_slice(bytes.get(..32)?);
        Some(secret)
    }))
}

/// Random bytes from the operating system.
pub(crate) fn random<const N: usize>() -> Result<[u8; N]> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes).map_err(|cause| StoreError::Crypto {
        doing: "Asking the system for random bytes",
        cause: cause.to_string(),
    })?;
    Ok(bytes)
}

fn random_secret() -> Result<Secret> {
    Ok(Zeroizing::new(random::<32>()?))
}

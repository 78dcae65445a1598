//! Private keys at rest: a person's key opens only with that person's PIN and the secret that
//! this installation keeps outside its data folder; the chain's key with that secret alone.
//!
//! A copied data folder therefore yields no key: whoever guesses PINs needs the machine too.

use argon2::{Algorithm, Argon2, Params, Version};
use chacha20poly1305::aead::{Aead, KeyInit, Payload};
use chacha20poly1305::{XChaCha20Poly1305, XNonce};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use zeroize::Zeroizing;

use crate::error::{AppError, Result};

/// The length of a PIN that is accepted, at least.
pub(crate) const SHORTEST_PIN: usize = 6;

/// How much work one guess at a PIN costs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cost {
    /// Memory in KiB.
    pub memory_kib: u32,
    /// Passes over that memory.
    pub passes: u32,
}

impl Cost {
    /// The least that a real installation uses; [`Cost::calibrated`] raises the passes.
    pub const FLOOR: Self = Self { memory_kib: 65_536, passes: 3 };

    /// For tests alone: a guess costs next to nothing.
    pub const TRIVIAL: Self = Self { memory_kib: 8, passes: 1 };

    /// Finds the passes that make one guess take half a second or more on this machine.
    #[expect(clippy::disallowed_methods, reason = "measures this machine, decides no record")]
    pub fn calibrated() -> Result<Self> {
        let start = std::time::Instant::now();
        stretch(b"calibration", &[0; 32], &[0; 16], Self::FLOOR)?;
        let took = start.elapsed().as_millis().max(1);
        // A quarter is added, because the machine may be hot and slow just now.
        let passes = (625 * u128::from(Self::FLOOR.passes)).div_ceil(took);
        let passes = u32::try_from(passes).unwrap_or(u32::MAX).clamp(Self::FLOOR.passes, 200);
        Ok(Self { passes, ..Self::FLOOR })
    }
}

/// A secret under a key that isn't stored.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Sealed {
    cost: Option<Cost>,
    salt: String,
    nonce: String,
    box_: String,
}

/// A key that only this machine can make: it comes from the secret that the installation keeps
/// outside its data folder.
#[derive(Clone)]
pub(crate) struct MachineSecret(Zeroizing<[u8; 32]>);

impl MachineSecret {
    /// Takes the bytes that the store derives from the outside secret.
    pub(crate) fn new(bytes: Zeroizing<[u8; 32]>) -> Self {
        Self(bytes)
    }

    fn bytes(&self) -> &[u8; 32] {
        &self.0
    }
}

/// Refuses a PIN that is too short, not digits, or one that anybody would try first.
pub(crate) fn check_pin(pin: &str) -> Result<()> {
    let refuse = |sentence: &str| {
        Err(AppError::new(
            "vault.weak_pin",
            sentence,
            "Choose six digits or more that are neither one digit repeated nor counted up or down.",
        ))
    };
    if !pin.bytes().all(|b| b.is_ascii_digit()) {
        return refuse("A PIN is made of digits only.");
    }
    if pin.len() < SHORTEST_PIN {
        return refuse("This PIN is too short.");
    }
    let steps: Vec<i16> =
        pin.as_bytes().windows(2).map(|w| i16::from(w[1]) - i16::from(w[0])).collect();
    if [-1, 0, 1].iter().any(|step| steps.iter().all(|s| s == step)) {
        return refuse("This PIN is one of the first that a stranger would try.");
    }
    Ok(())
}

/// Seals `secret` under a PIN and the machine secret. `purpose` is bound in: a box for one
/// person can't be put in another's place.
pub(crate) fn seal_with_pin(
    secret: &[u8],
    pin: &str,
    machine: &MachineSecret,
    purpose: &str,
    cost: Cost,
) -> Result<Sealed> {
    check_pin(pin)?;
    let salt = random::<16>()?;
    let key = stretch(pin.as_bytes(), machine.bytes(), &salt, cost)?;
    close(secret, &key, &salt, purpose, Some(cost))
}

/// Opens a box sealed by [`seal_with_pin`]; `None` when the PIN is wrong.
pub(crate) fn open_with_pin(
    sealed: &Sealed,
    pin: &str,
    machine: &MachineSecret,
    purpose: &str,
) -> Result<Option<Zeroizing<Vec<u8>>>> {
    let cost = sealed.cost.unwrap_or(Cost::FLOOR);
    let salt = unhex::<16>(&sealed.salt)?;
    let key = stretch(pin.as_bytes(), machine.bytes(), &salt, cost)?;
    open(sealed, &key, purpose)
}

/// Seals `secret` under the machine secret alone.
pub(crate) fn seal_to_machine(
    secret: &[u8],
    machine: &MachineSecret,
    purpose: &str,
) -> Result<Sealed> {
    let salt = random::<16>()?;
    close(secret, &derive(machine, &salt), &salt, purpose, None)
}

/// Opens a box sealed by [`seal_to_machine`]; `None` when this isn't the machine that sealed it.
pub(crate) fn open_on_machine(
    sealed: &Sealed,
    machine: &MachineSecret,
    purpose: &str,
) -> Result<Option<Zeroizing<Vec<u8>>>> {
    let salt = unhex::<16>(&sealed.salt)?;
    open(sealed, &derive(machine, &salt), purpose)
}

fn close(
    secret: &[u8],
    key: &[u8; 32],
    salt: &[u8; 16],
    purpose: &str,
    cost: Option<Cost>,
) -> Result<Sealed> {
    let nonce = random::<24>()?;
    let payload = Payload { msg: secret, aad: purpose.as_bytes() };
    let closed = XChaCha20Poly1305::new(key.into())
        .encrypt(XNonce::from_slice(&nonce), payload)
        .map_err(|cause| AppError::internal("Sealing a key", cause))?;
    Ok(Sealed {
        cost,
        salt: hex::encode(salt),
        nonce: hex::encode(nonce),
        box_: hex::encode(closed),
    })
}

fn open(sealed: &Sealed, key: &[u8; 32], purpose: &str) -> Result<Option<Zeroizing<Vec<u8>>>> {
    let nonce = unhex::<24>(&sealed.nonce)?;
    let closed = hex::decode(&sealed.box_).map_err(|_| damaged())?;
    let payload = Payload { msg: &closed, aad: purpose.as_bytes() };
    let opened = XChaCha20Poly1305::new(key.into()).decrypt(XNonce::from_slice(&nonce), payload);
    Ok(opened.ok().map(Zeroizing::new))
}

fn stretch(
    typed: &[u8],
    machine: &[u8; 32],
    salt: &[u8; 16],
    cost: Cost,
) -> Result<Zeroizing<[u8; 32]>> {
    let failed = |cause: argon2::Error| AppError::internal("Stretching a PIN", cause);
    let params = Params::new(cost.memory_kib, cost.passes, 1, Some(32)).map_err(failed)?;
    let argon = Argon2::new_with_secret(machine, Algorithm::Argon2id, Version::V0x13, params)
        .map_err(failed)?;
    let mut key = Zeroizing::new([0; 32]);
    argon.hash_password_into(typed, salt, key.as_mut_slice()).map_err(failed)?;
    Ok(key)
}

fn derive(machine: &MachineSecret, salt: &[u8; 16]) -> Zeroizing<[u8; 32]> {
    let mut hash = Sha256::new();
    hash.update(b"dishwright machine seal 1");
    hash.update(machine.bytes());
    hash.update(salt);
    Zeroizing::new(hash.finalize().into())
}

/// Random bytes from the operating system.
pub(crate) fn random<const N: usize>() -> Result<[u8; N]> {
    let mut bytes = [0; N];
    getrandom::fill(&mut bytes)
        .map_err(|cause| AppError::internal("Asking the system for random bytes", cause))?;
    Ok(bytes)
}

fn unhex<const N: usize>(text: &str) -> Result<[u8; N]> {
    let mut bytes = [0; N];
    hex::decode_to_slice(text, &mut bytes).map_err(|_| damaged())?;
    Ok(bytes)
}

fn damaged() -> AppError {
    AppError::new(
        "vault.box_damaged",
        "A sealed key in the data folder is damaged.",
        "Run `dishwright check` on the data folder, then restore the latest backup.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn machine(seed: u8) -> MachineSecret {
        MachineSecret(Zeroizing::new([seed; 32]))
    }

    #[test]
    fn a_pin_opens_its_own_box_on_its_own_machine_only() {
        let sealed =
            seal_with_pin(b"key", "271828", &machine(1), "person P-03", Cost::TRIVIAL).unwrap();
        let open = |pin: &str, which: u8, purpose: &str| {
            open_with_pin(&sealed, pin, &machine(which), purpose).unwrap()
        };
        assert_eq!(open("271828", 1, "person P-03").unwrap().as_slice(), b"key");
        assert!(open("271829", 1, "person P-03").is_none());
        assert!(open("271828", 2, "person P-03").is_none());
        assert!(open("271828", 1, "person P-02").is_none());
    }

    #[test]
    fn a_machine_seal_does_not_open_elsewhere() {
        let sealed = seal_to_machine(b"chain", &machine(1), "chain").unwrap();
        assert!(open_on_machine(&sealed, &machine(1), "chain").unwrap().is_some());
        assert!(open_on_machine(&sealed, &machine(2), "chain").unwrap().is_none());
    }

    #[test]
    fn easy_pins_are_refused() {
        for pin in ["12345", "abcdef", "111111", "123456", "987654", "27182८"] {
            assert_eq!(check_pin(pin).unwrap_err().code, "vault.weak_pin", "{pin}");
        }
        for pin in ["271828", "000001", "1234567890123450"] {
            check_pin(pin).unwrap();
        }
    }

    #[test]
    fn the_floor_costs_a_real_amount_of_work() {
        let cost = Cost::calibrated().unwrap();
        assert!(cost.passes >= Cost::FLOOR.passes && cost.memory_kib == Cost::FLOOR.memory_kib);
    }
}

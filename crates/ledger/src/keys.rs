//! Keys and signatures: ECDSA on P-256 with SHA-256, deterministic (RFC 6979), low-S only.

use std::fmt;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD as BASE64;
use p256::ecdsa::signature::{Signer as _, Verifier as _};
use p256::ecdsa::{Signature, VerifyingKey};
use p256::pkcs8::{DecodePublicKey as _, EncodePublicKey as _};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

/// Why a key or signature can't be used.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum KeyFault {
    /// The bytes are no private key.
    #[error("the bytes are no private key on P-256")]
    NotAPrivateKey,
    /// The bytes are no public key.
    #[error("the bytes are no public key on P-256 in the usual form (SPKI DER, uncompressed)")]
    NotAPublicKey,
    /// The signature is no DER sequence of two numbers in range.
    #[error("the signature is not in the form of ECDSA signatures (DER)")]
    NotASignature,
    /// Its second number is in the upper half, so that a twin signature exists.
    #[error("the signature's second number is in the upper half; only the lower one is accepted")]
    HighS,
    /// It doesn't fit the bytes and the key.
    #[error("the signature does not fit these bytes and this key")]
    DoesNotFit,
}

/// A private key. It never shows its number.
#[derive(Clone)]
pub struct SigningKey(p256::ecdsa::SigningKey);

impl SigningKey {
    /// Takes a private key as 32 bytes, big-endian. Where they come from is the caller's business.
    ///
    /// # Errors
    /// Zero, or a number at or above the order of the curve.
    pub fn from_bytes(scalar: &[u8; 32]) -> Result<Self, KeyFault> {
        p256::ecdsa::SigningKey::from_slice(scalar).map(Self).map_err(|_| KeyFault::NotAPrivateKey)
    }

    /// The public half.
    pub fn public(&self) -> PublicKey {
        PublicKey(*self.0.verifying_key())
    }

    /// Signs `message`; the signature is DER, and always the same for the same message.
    pub fn sign(&self, message: &[u8]) -> Vec<u8> {
        let signature: Signature = self.0.sign(message);
        let low = signature.normalize_s().unwrap_or(signature);
        low.to_der().as_bytes().to_vec()
    }
}

impl fmt::Debug for SigningKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "SigningKey(of {:?})", self.public())
    }
}

/// A public key. In text it is the base64 of its SPKI DER.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct PublicKey(VerifyingKey);

impl PublicKey {
    /// Reads SPKI DER, only in the form that [`PublicKey::to_der`] writes.
    ///
    /// # Errors
    /// Any other bytes: a second spelling of a key would give a second id.
    pub fn from_der(der: &[u8]) -> Result<Self, KeyFault> {
        let key = VerifyingKey::from_public_key_der(der).map_err(|_| KeyFault::NotAPublicKey)?;
        let key = Self(key);
        if key.to_der() == der { Ok(key) } else { Err(KeyFault::NotAPublicKey) }
    }

    /// SPKI DER with the uncompressed point, 91 bytes: what `openssl pkey -pubout` writes.
    pub fn to_der(&self) -> Vec<u8> {
        self.0.to_public_key_der().map(|document| document.as_bytes().to_vec()).unwrap_or_default()
    }

    /// Verifies a DER signature over `message`.
    ///
    /// # Errors
    /// [`KeyFault`] says which of form, half or fit is wrong.
    pub fn verify(&self, message: &[u8], der: &[u8]) -> Result<(), KeyFault> {
        let signature = Signature::from_der(der).map_err(|_| KeyFault::NotASignature)?;
        if signature.normalize_s().is_some() {
            return Err(KeyFault::HighS);
        }
        self.0.verify(message, &signature).map_err(|_| KeyFault::DoesNotFit)
    }
}

impl fmt::Display for PublicKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&BASE64.encode(self.to_der()))
    }
}

impl fmt::Debug for PublicKey {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "PublicKey({})", crate::Digest::of(&self.to_der()).short())
    }
}

impl Serialize for PublicKey {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for PublicKey {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        let der = BASE64.decode(text).map_err(|_| de::Error::custom(KeyFault::NotAPublicKey))?;
        Self::from_der(&der).map_err(de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// RFC 6979, A.2.5 (P-256, SHA-256): the key, and r and s for two messages. From memory of
    /// the document; the public point below is its Ux, and fits the key.
    const KEY: &str = "c9afa9d845ba75166b5c215767b1d6934e50c3db36e89b127b8a622b120f6721";
    const UX: &str = "60fed4ba255a9d31c961eb74c6356d68c049b8923b61fa6ce669622e60f29fb6";

    fn key() -> SigningKey {
        let mut scalar = [0; 32];
        hex::decode_to_slice(KEY, &mut scalar).unwrap();
        SigningKey::from_bytes(&scalar).unwrap()
    }

    fn raw(der: &[u8]) -> (String, String) {
        let (r, s) = Signature::from_der(der).unwrap().split_bytes();
        (hex::encode(r), hex::encode(s))
    }

    #[test]
    fn signatures_are_those_of_rfc_6979() {
        assert!(hex::encode(key().public().to_der()).contains(UX));
        // The document's s for "sample" lies in the upper half; ours is its low twin, n - s.
        let (r, s) = raw(&key().sign(b"sample"));
        assert_eq!(r, "efd48b2aacb6a8fd1140dd9cd45e81d69d2c877b56aaf991c34d0ea84eaf3716");
        assert_eq!(negated(&s), "f7cb1c942d657c41d436c7a1b6e29f65f3e900dbb9aff4064dc4ab2f843acda8");
        let (r, s) = raw(&key().sign(b"test"));
        assert_eq!(r, "f1abb023518351cd71d881567b1ea663ed3efcf6c5132b354f28d3b0b7d38367");
        assert_eq!(s, "019f4113742a2b14bd25926b49c649155f267e60d3814b4c0cc84250e46f0083");
    }

    /// n - s, by way of the library's own scalar arithmetic.
    fn negated(s: &str) -> String {
        use p256::elliptic_curve::PrimeField as _;
        let bytes: [u8; 32] = hex::decode(s).unwrap().try_into().unwrap();
        let scalar = p256::Scalar::from_repr(bytes.into()).unwrap();
        hex::encode((-scalar).to_repr())
    }

    #[test]
    fn the_high_twin_is_refused() {
        let der = key().sign(b"sample");
        let signature = Signature::from_der(&der).unwrap();
        let (r, s) = signature.split_scalars();
        let twin = Signature::from_scalars(*r, -*s).unwrap();
        let verdict = key().public().verify(b"sample", twin.to_der().as_bytes());
        assert_eq!(verdict, Err(KeyFault::HighS));
        assert_eq!(key().public().verify(b"sample", &der), Ok(()));
    }

    #[test]
    fn other_bytes_other_keys_and_other_forms_are_refused() {
        let der = key().sign(b"sample");
        let other = SigningKey::from_bytes(&[7; 32]).unwrap().public();
        assert_eq!(other.verify(b"sample", &der), Err(KeyFault::DoesNotFit));
        assert_eq!(key().public().verify(b"simple", &der), Err(KeyFault::DoesNotFit));
        assert_eq!(key().public().verify(b"sample", b"30"), Err(KeyFault::NotASignature));
        assert!(SigningKey::from_bytes(&[0; 32]).is_err());
        assert!(SigningKey::from_bytes(&[0xff; 32]).is_err());
    }

    #[test]
    fn a_public_key_has_one_spelling() {
        let der = key().public().to_der();
        assert_eq!(der.len(), 91);
        assert_eq!(PublicKey::from_der(&der).unwrap(), key().public());
        let mut longer = der.clone();
        longer.push(0);
        assert!(PublicKey::from_der(&longer).is_err());
        let point = p256::PublicKey::from_public_key_der(&der).unwrap();
        let squeezed = p256::EncodedPoint::from(point).compress();
        assert!(PublicKey::from_der(squeezed.as_bytes()).is_err());
    }
}

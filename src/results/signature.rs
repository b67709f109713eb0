//! The examiner's detached signature over a result.
//!
//! A signature is the 64 bytes of Ed25519 (RFC 8032) over every byte of the file, seal included,
//! kept as they are in a file of their own. Keys are PEM text as in RFC 8410: PKCS#8 for the
//! private one, `SubjectPublicKeyInfo` for the public one. Any tool of these standards makes keys
//! and checks signatures, for one
//!
//! ```text
//! openssl genpkey -algorithm ed25519 -out examiner.key
//! openssl pkey -in examiner.key -pubout -out examiner.pem
//! openssl pkeyutl -verify -rawin -pubin -inkey examiner.pem -sigfile result.sig -in result.toml
//! ```
//!
//! A signature says who vouches for a result, so the key belongs to the examiner. On the
//! candidate's machine it would prove nothing.

use ed25519_dalek::pkcs8::{DecodePrivateKey, DecodePublicKey};
use ed25519_dalek::{Signature, Signer, SigningKey, VerifyingKey};

#[cfg(test)]
mod tests;

/// The length of a signature, in bytes.
pub const LENGTH: usize = 64;

/// Why a signature can't be made, or does not hold.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// The private key can't be used.
    #[error(
        "expected an Ed25519 private key in PKCS#8 PEM, found {found}; \
         `openssl genpkey -algorithm ed25519` makes one"
    )]
    PrivateKey {
        /// What was given instead.
        found: String,
    },
    /// The public key can't be used.
    #[error(
        "expected an Ed25519 public key in PEM, found {found}; \
         `openssl pkey -pubout` makes one from a private key"
    )]
    PublicKey {
        /// What was given instead.
        found: String,
    },
    /// The signature has not the length of one.
    #[error("expected a signature of {LENGTH} bytes, found {0}; it was cut, or is not a signature")]
    Length(usize),
    /// The signature is not this key's over these bytes.
    #[error(
        "the signature does not fit; the file or the signature was changed after signing, \
         or another key signed"
    )]
    Mismatch,
}

/// Signs `bytes` with a private key in PEM. The same key and bytes give the same signature.
///
/// # Errors
/// When the key is not an Ed25519 private key in unencrypted PKCS#8.
pub fn sign(private_pem: &str, bytes: &[u8]) -> Result<[u8; LENGTH], Error> {
    let key = SigningKey::from_pkcs8_pem(private_pem).map_err(|error| Error::PrivateKey {
        found: kind(private_pem, "PRIVATE KEY", &error),
    })?;
    Ok(key.sign(bytes).to_bytes())
}

/// Checks that `signature` is over `bytes` and by the private key that belongs to a public one.
///
/// # Errors
/// When the key is not an Ed25519 public key, the signature not 64 bytes, or it does not hold.
pub fn verify(public_pem: &str, bytes: &[u8], signature: &[u8]) -> Result<(), Error> {
    let key = VerifyingKey::from_public_key_pem(public_pem).map_err(|error| Error::PublicKey {
        found: kind(public_pem, "PUBLIC KEY", &error),
    })?;
    let signature: &[u8; LENGTH] = signature
        .try_into()
        .map_err(|_| Error::Length(signature.len()))?;
    // The strict check refuses keys of small order, which would fit many texts.
    key.verify_strict(bytes, &Signature::from_bytes(signature))
        .map_err(|_| Error::Mismatch)
}

/// Says in plain words what was given instead of a key with the label `wanted`.
fn kind(pem: &str, wanted: &str, error: &dyn std::error::Error) -> String {
    let label = pem.lines().find_map(|line| {
        line.trim()
            .strip_prefix("-----BEGIN ")?
            .strip_suffix("-----")
    });
    match label {
        Some("ENCRYPTED PRIVATE KEY") => "one locked with a passphrase".to_owned(),
        Some(label) if label == wanted => format!("one that can't be read ({error})"),
        Some(label) => format!(
            "PEM labelled {:?}",
            label.chars().take(40).collect::<String>()
        ),
        None => "no PEM".to_owned(),
    }
}

//! The invigilator's PIN: only its hash is kept (Argon2id, RFC 9106).

use std::fs;
use std::io::{self, Write};
use std::path::{Path, PathBuf};

use argon2::Argon2;
use argon2::password_hash::rand_core::OsRng;
use argon2::password_hash::{PasswordHash, PasswordHasher, PasswordVerifier, SaltString};

use crate::settings;

/// Hashes a PIN, with a salt of the system's.
pub(super) fn hash(pin: &str) -> Option<String> {
    let salt = SaltString::generate(&mut OsRng);

    Argon2::default()
        .hash_password(pin.as_bytes(), &salt)
        .ok()
        .map(|hash| hash.to_string())
}

/// Tells whether a PIN has a hash.
pub(super) fn is(hash: &str, pin: &str) -> bool {
    PasswordHash::new(hash).is_ok_and(|hash| {
        Argon2::default()
            .verify_password(pin.as_bytes(), &hash)
            .is_ok()
    })
}

/// Writes a hash into a settings file, which is made where there is none. Nothing else in it is
/// changed, and only the account itself may read it from then on.
pub(super) fn keep(file: &Path, hash: &str) -> Result<(), String> {
    let error = |error: io::Error| format!("{}: {error}", file.display());
    // A link stays one.
    let path = match fs::canonicalize(file) {
        Ok(path) => path,
        Err(why) if why.kind() == io::ErrorKind::NotFound => file.to_owned(),
        Err(why) => return Err(error(why)),
    };
    let before = match fs::read_to_string(&path) {
        Ok(text) => text,
        Err(why) if why.kind() == io::ErrorKind::NotFound => String::new(),
        Err(why) => return Err(error(why)),
    };
    let text = settings::invigilator::with_pin(&before, hash).ok_or_else(|| {
        format!(
            "{}: expected a place for the line `pin`; add a section [invigilator]",
            file.display()
        )
    })?;
    let folder = match path.parent() {
        Some(folder) if folder != Path::new("") => folder.to_owned(),
        _ => PathBuf::from("."),
    };

    fs::create_dir_all(&folder).map_err(error)?;
    // Whole or not at all. The system's temporary files are the account's own: mode 0600.
    let mut new = tempfile::NamedTempFile::new_in(&folder).map_err(error)?;
    new.write_all(text.as_bytes()).map_err(error)?;
    new.as_file().sync_all().map_err(error)?;
    new.persist(&path)
        .map(drop)
        .map_err(|refused| error(refused.error))
}

//! `sign`: sign results with the examiner's key.

use std::path::{Path, PathBuf};

use clap::Args;

use super::audit::signature_path;
use super::{End, Fault, complain, disk, load, say};
use crate::results::{seal, signature};

/// Sign results with the examiner's key
///
/// The key is an ed25519 key as PEM, made for example by `openssl genpkey -algorithm ed25519 -out
/// examiner.key`, and kept away from the room's machines. The signature is written beside the
/// result as `RESULT.sig`, 64 bytes.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The results to sign
    #[arg(required = true, value_name = "RESULT")]
    results: Vec<PathBuf>,
    /// The examiner's private key (PEM)
    #[arg(long, value_name = "FILE")]
    key: PathBuf,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    let key = load::text(&arguments.key)?;
    let mut fine = true;

    for path in &arguments.results {
        match sign(path, &key) {
            Ok(beside) => say(&format!("{}\n", beside.display())),
            Err(Fault(text)) => {
                complain(&text);
                fine = false;
            }
        }
    }

    Ok(if fine { End::Fine } else { End::Faults })
}

fn sign(path: &Path, key: &str) -> Result<PathBuf, Fault> {
    let text = load::text(path)?;
    // What is altered is not signed.
    let _ = seal::audit(&text)
        .map_err(|fault| Fault::new(format_args!("{}: {fault}", path.display())))?;
    let bytes = signature::sign(key, text.as_bytes())?;
    let beside = signature_path(path);
    disk::write_new(&beside, &bytes)?;

    Ok(beside)
}

//! `audit`: check that results are whole and unaltered.

use std::path::{Path, PathBuf};

use clap::Args;

use super::{End, Fault, complain, load, say};
use crate::results::{seal, signature};

#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The results to check
    #[arg(required = true, value_name = "RESULT")]
    results: Vec<PathBuf>,
    /// The examiner's public key (PEM); each result must then be signed with the key it belongs to
    #[arg(long, value_name = "FILE")]
    public_key: Option<PathBuf>,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    let key = arguments
        .public_key
        .as_deref()
        .map(load::text)
        .transpose()?;
    let mut fine = true;

    for path in &arguments.results {
        match check(path, key.as_deref()) {
            Ok(text) => say(&format!("{}: {text}\n", path.display())),
            Err(Fault(text)) => {
                complain(&format!("{}: {text}", path.display()));
                fine = false;
            }
        }
    }

    Ok(if fine { End::Fine } else { End::Faults })
}

fn check(path: &Path, key: Option<&str>) -> Result<String, Fault> {
    let text = load::text(path)?;
    let verified = seal::audit(&text)?;
    let short = seal::short(&verified.head);

    let Some(key) = key else {
        return Ok(format!("whole and unaltered, digest {short}"));
    };
    let beside = signature_path(path);
    let bytes = load::bytes(&beside)
        .map_err(|Fault(text)| Fault(format!("the signature cannot be read: {text}")))?;
    signature::verify(key, text.as_bytes(), &bytes)?;

    Ok(format!(
        "whole and unaltered, digest {short}, signed by this key"
    ))
}

/// The signature's file stands beside the result: `result.toml.sig`.
pub(super) fn signature_path(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(".sig");

    PathBuf::from(name)
}

//! `audit`: check that results are whole and unaltered.

use std::path::{Path, PathBuf};

use clap::Args;
use serde::Serialize;

use super::{End, Fault, complain, load, say};
use crate::results::{seal, signature};

/// Check that results are whole and unaltered
///
/// A changed, added or removed byte is found and its place named. Compare the digest with the one
/// on the printed sheet: only that, or a signature, tells a result that was sealed anew.
#[derive(Debug, Args)]
pub(super) struct Arguments {
    /// The results to check
    #[arg(required = true, value_name = "RESULT")]
    results: Vec<PathBuf>,
    /// The examiner's public key (PEM); each result must then be signed with the key it belongs to
    #[arg(long, value_name = "FILE")]
    public_key: Option<PathBuf>,
    /// Print what was found as JSON, a line a result
    #[arg(long)]
    json: bool,
}

/// What was found of one result.
#[derive(Debug, Serialize)]
struct Report {
    result: String,
    whole: bool,
    signed: bool,
    digest: Option<String>,
    fault: Option<String>,
}

pub(super) fn run(arguments: &Arguments) -> Result<End, Fault> {
    let key = arguments
        .public_key
        .as_deref()
        .map(load::text)
        .transpose()?;
    let mut fine = true;

    for path in &arguments.results {
        let report = check(path, key.as_deref());
        fine &= report.fault.is_none();
        if arguments.json {
            say(&(serde_json::to_string(&report)? + "\n"));
        }
        match &report.fault {
            Some(fault) => complain(&load::placed(path, fault)),
            None if arguments.json => {}
            None => say(&words(&report)),
        }
    }

    Ok(if fine { End::Fine } else { End::Faults })
}

fn check(path: &Path, key: Option<&str>) -> Report {
    let mut report = Report {
        result: path.display().to_string(),
        whole: false,
        signed: false,
        digest: None,
        fault: None,
    };

    if let Err(Fault(fault)) = look(path, key, &mut report) {
        report.fault = Some(fault);
    }

    report
}

fn look(path: &Path, key: Option<&str>, report: &mut Report) -> Result<(), Fault> {
    let text = load::text(path)?;
    let verified = seal::audit(&text)?;
    report.whole = true;
    report.digest = Some(seal::short(&verified.head));

    if let Some(key) = key {
        let bytes = load::bytes(&signature_path(path))
            .map_err(|Fault(text)| Fault(format!("the signature cannot be read: {text}")))?;
        signature::verify(key, text.as_bytes(), &bytes)?;
        report.signed = true;
    }

    Ok(())
}

fn words(report: &Report) -> String {
    format!(
        "{}: whole and unaltered, digest {}{}\n",
        report.result,
        report.digest.as_deref().unwrap_or_default(),
        if report.signed {
            ", signed by this key"
        } else {
            ""
        }
    )
}

/// The signature's file stands beside the result: `result.toml.sig`.
pub(super) fn signature_path(path: &Path) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(".sig");

    PathBuf::from(name)
}

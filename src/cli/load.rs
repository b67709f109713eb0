//! Loading exam scripts for the verbs: path in, exam or every fault out.

use std::path::Path;

use sha2::{Digest, Sha256};

use super::{Fault, disk};
use crate::exam::code::Code;
use crate::exam::diagnostic::{Diagnostic, Lines, Severity};
use crate::exam::script::Exam;
use crate::exam::{read, table};

/// A script on disk.
pub(super) struct Script {
    /// How messages call it.
    pub(super) name: String,
    /// Its text.
    pub(super) source: String,
    /// What was found in it.
    pub(super) diagnostics: Vec<Diagnostic>,
    /// The exam, unless something is at fault.
    pub(super) exam: Option<Exam>,
}

impl Script {
    /// Reads and checks a script.
    pub(super) fn open(path: &Path) -> Result<Self, Fault> {
        let bytes = disk::read_limited(path, table::LIMIT as u64)?;
        let name = path.display().to_string();
        let source = table::source(&bytes)
            .map_err(|error| Fault::new(format_args!("{name}: {error}")))?
            .to_owned();
        let stem = path
            .file_stem()
            .map(|stem| stem.to_string_lossy().into_owned())
            .unwrap_or_default();
        let (exam, diagnostics) = read::read(&source, &stem);

        Ok(Self {
            name,
            source,
            diagnostics,
            exam,
        })
    }

    /// Returns the exam, or all faults as one text.
    pub(super) fn exam(self) -> Result<(Exam, String), Fault> {
        match self.exam {
            Some(exam) => Ok((exam, self.source)),
            None => Err(Fault(self.report(Severity::Fault).trim_end().to_owned())),
        }
    }

    /// Renders the diagnostics of a severity.
    pub(super) fn report(&self, severity: Severity) -> String {
        let lines = Lines::new(&self.source);

        self.diagnostics
            .iter()
            .filter(|diagnostic| diagnostic.severity == severity)
            .map(|diagnostic| lines.render(diagnostic, &self.name))
            .collect()
    }
}

/// Finds an exam: a path, or the bare name of a shipped one.
pub(super) fn exam(path: &Path) -> Result<(Exam, String), Fault> {
    Script::open(path)?.exam()
}

/// Returns the digest of a script: SHA-256, 64 hexadecimal digits.
pub(super) fn digest(source: &str) -> String {
    Sha256::digest(source.as_bytes())
        .iter()
        .map(|byte| format!("{byte:02x}"))
        .collect()
}

/// Reads a form code, or takes the first form of the first set.
pub(super) fn code(text: Option<&str>) -> Result<Code, Fault> {
    text.map_or(Ok(Code::FIRST), |text| Ok(Code::parse(text)?))
}

/// Puts the name of a file before what is wrong with it, where it is not there already.
pub(super) fn placed(path: &Path, fault: &str) -> String {
    let name = format!("{}: ", path.display());

    if fault.starts_with(&name) {
        fault.to_owned()
    } else {
        name + fault
    }
}

/// The largest performance file: a million events are some ten megabytes.
const LARGEST: u64 = 256 << 20;

/// Reads a file of bytes.
pub(super) fn bytes(path: &Path) -> Result<Vec<u8>, Fault> {
    Ok(disk::read_limited(path, LARGEST)?)
}

/// Reads a text file, as results are.
pub(super) fn text(path: &Path) -> Result<String, Fault> {
    let bytes = bytes(path)?;

    String::from_utf8(bytes).map_err(|error| {
        Fault::new(format_args!(
            "{}: expected UTF-8 text, found another byte at offset {}",
            path.display(),
            error.utf8_error().valid_up_to()
        ))
    })
}

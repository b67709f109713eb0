//! A form as PDF, in a file of its own.

use std::path::{Path, PathBuf};

use super::super::{End, Fault, disk, say};
use crate::printing::form::{Paper, form};
use crate::printing::page::Size;
use crate::printing::pdf;

/// Writes a form, to the file named or else to one named after exam and form; nothing is
/// overwritten.
pub(super) fn write(paper: &Paper<'_>, file: Option<&Path>, size: Size) -> Result<End, Fault> {
    let bytes = pdf::write(&form(paper, size))?;
    let path: PathBuf = match file {
        Some(file) => {
            disk::write_new(file, &bytes)?;
            file.to_owned()
        }
        None => {
            let key = if paper.key { "-key" } else { "" };
            let stem = format!("{}-{}{key}", paper.exam.name, paper.form.code);
            disk::write_numbered(Path::new("."), &stem, "pdf", &bytes)?
        }
    };
    let shown = path.strip_prefix(".").unwrap_or(&path);
    say(&format!("{}\n", shown.display()));

    Ok(End::Fine)
}

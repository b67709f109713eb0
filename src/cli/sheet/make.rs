//! Making the mark sheet of a stored result, with what earlier results beside it tell.

use std::collections::BTreeMap;
use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};

use rayon::prelude::*;

use super::super::{Fault, disk, load};
use crate::printing::page::Size;
use crate::printing::pdf;
use crate::printing::sheet::{content::content, sheet};
use crate::results::document::{self, Stored};
use crate::results::seal::{self, Verified};
use crate::results::summary::{self, Summary};
use crate::sitting::outcome::outcome;

/// Makes the sheet of one result and writes it beside it; returns where it is.
#[cfg_attr(
    not(feature = "kiosk"),
    allow(dead_code, reason = "the kiosk alone makes one by itself")
)]
pub(in crate::cli) fn one(path: &Path, size: Size) -> Result<PathBuf, Fault> {
    let (painted, _) = painted(&[path.to_owned()], size);
    let mut painted = painted.into_iter();

    match painted.next() {
        Some(bytes) => store(path, None, &bytes?),
        None => Err(Fault::new("expected a result, found none")),
    }
}

/// Makes the sheet of each result, and says what was left out of them and why.
pub(super) fn painted(paths: &[PathBuf], size: Size) -> (Vec<Result<Vec<u8>, Fault>>, Vec<String>) {
    let opened: Vec<Result<Opened, Fault>> =
        paths.par_iter().map(|path| Opened::read(path)).collect();
    let shelves = Shelves::of(paths, &opened);
    // Marking and painting go side by side, names are taken one after the other.
    let painted = opened
        .into_par_iter()
        .zip(paths)
        .map(|(opened, path)| paint(&opened?, shelves.earlier(path), size))
        .collect();

    (painted, shelves.notes)
}

/// A result, whole and read.
struct Opened {
    stored: Stored,
    verified: Verified,
}

impl Opened {
    fn read(path: &Path) -> Result<Self, Fault> {
        let text = load::text(path)?;
        let verified = seal::audit(&text)?;

        Ok(Self {
            stored: document::read(&text, None)?,
            verified,
        })
    }
}

fn paint(opened: &Opened, earlier: &[Summary], size: Size) -> Result<Vec<u8>, Fault> {
    let sitting = &opened.stored.sitting;
    let content = content(
        sitting,
        &opened.stored.given,
        &outcome(sitting),
        &seal::short(&opened.verified.head),
        earlier,
    );

    Ok(pdf::write(&sheet(&content, size))?)
}

/// Writes a sheet, beside its result unless another folder is named.
pub(super) fn store(path: &Path, out: Option<&Path>, bytes: &[u8]) -> Result<PathBuf, Fault> {
    let stem = path
        .file_stem()
        .map(|stem| stem.to_string_lossy().into_owned())
        .unwrap_or_default();
    let folder = out.unwrap_or_else(|| folder_of(path));

    Ok(disk::write_numbered(
        folder,
        &format!("{stem}-sheet"),
        "pdf",
        bytes,
    )?)
}

fn folder_of(path: &Path) -> &Path {
    path.parent()
        .filter(|folder| *folder != Path::new(""))
        .unwrap_or(Path::new("."))
}

/// What lies beside the results: those of the same candidates and exams.
struct Shelves {
    /// By folder, exam and candidate.
    shelves: BTreeMap<PathBuf, Vec<Summary>>,
    /// What was left out, and why.
    notes: Vec<String>,
}

impl Shelves {
    /// Looks through each folder once, and reads only what is of these candidates and exams.
    fn of(paths: &[PathBuf], opened: &[Result<Opened, Fault>]) -> Self {
        let mut wanted: BTreeMap<PathBuf, Vec<(String, String)>> = BTreeMap::new();
        for (path, opened) in paths.iter().zip(opened) {
            if let Ok(opened) = opened {
                let given = &opened.stored.given;
                let exam = &opened.stored.sitting.exam().name;
                wanted
                    .entry(folder_of(path).to_owned())
                    .or_default()
                    .push((exam.clone(), given.candidate.clone()));
            }
        }

        let mut notes = Vec::new();
        let mut shelves = BTreeMap::new();
        for (folder, wanted) in wanted {
            let files: Vec<PathBuf> = fs::read_dir(&folder)
                .into_iter()
                .flatten()
                .flatten()
                .map(|entry| entry.path())
                .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
                .collect();
            let mut read: Vec<(PathBuf, Result<Summary, Fault>)> = files
                .into_par_iter()
                .filter(|path| may_be(path, &wanted))
                .map(|path| {
                    let summary = load::text(&path).and_then(|text| Ok(summary::read(&text)?));
                    (path, summary)
                })
                .collect();
            read.sort_by(|(one, _), (other, _)| one.cmp(other));
            let mut all = Vec::new();
            for (path, summary) in read {
                match summary {
                    Ok(summary) => all.push(summary),
                    // One that a sheet is asked of says so itself.
                    Err(_) if paths.contains(&path) => {}
                    Err(Fault(text)) => notes.push(format!(
                        "note: left out of the development: {}",
                        load::placed(&path, &text)
                    )),
                }
            }
            let _ = shelves.insert(folder, all);
        }

        Self { shelves, notes }
    }

    fn earlier(&self, path: &Path) -> &[Summary] {
        self.shelves.get(folder_of(path)).map_or(&[], Vec::as_slice)
    }
}

/// So much of a file tells whose it is.
const HEAD: u64 = 16 << 10;

/// Tells whether a file begins as a result of one of these exams and candidates does.
fn may_be(path: &Path, wanted: &[(String, String)]) -> bool {
    let mut head = Vec::new();
    let read = fs::File::open(path).and_then(|file| file.take(HEAD).read_to_end(&mut head));
    let head = String::from_utf8_lossy(&head);

    // What is said of a re-mark may be longer than the head: then the whole is read.
    let is_result = head.contains("\n[result]\n");
    let is_cut = is_result && !head.contains("\ncandidate = ");
    let says = |key: &str, value: &str| {
        let quoted = toml::Value::String(value.to_owned()).to_string();
        head.contains(&format!("\n{key} = {quoted}\n"))
    };

    read.is_ok()
        && is_result
        && (is_cut
            || wanted
                .iter()
                .any(|(exam, candidate)| says("exam", exam) && says("candidate", candidate)))
}

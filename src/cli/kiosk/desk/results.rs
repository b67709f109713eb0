//! The results that lie in the room's folders, to be looked at again.

use std::collections::BTreeSet;
use std::path::Path;

use super::super::super::load;
use crate::kiosk::desk::Handed;
use crate::kiosk::invigilator::Looked;
use crate::results::{document, seal, summary};

/// Results to choose from at most: a room's last days.
const MOST: usize = 120;

/// Lists those that are whole, the newest first. Of a result and those made from it the last one
/// is listed.
pub(super) fn list(folders: &[&Path]) -> Vec<Handed> {
    let mut read = Vec::new();
    let mut replaced = BTreeSet::new();

    for folder in folders {
        let files = std::fs::read_dir(folder).into_iter().flatten().flatten();
        for path in files.map(|entry| entry.path()) {
            if path.extension().is_none_or(|ending| ending != "toml") {
                continue;
            }
            let Some(summary) = load::text(&path)
                .ok()
                .and_then(|text| summary::read(&text).ok())
            else {
                continue;
            };
            if let Some((_, Some(digest))) = &summary.remark_of {
                let _ = replaced.insert(digest.clone());
            }
            read.push((path, summary));
        }
    }
    read.retain(|(_, summary)| !replaced.contains(&summary.digest.to_string()));
    read.sort_by(|(path, one), (other_path, other)| {
        (&other.started, other_path).cmp(&(&one.started, path))
    });

    read.into_iter()
        .take(MOST)
        .map(|(path, summary)| Handed {
            name: path.display().to_string(),
            exam: summary.title,
            candidate: summary.candidate,
            started: summary.started,
        })
        .collect()
}

/// Opens one, whole and unaltered.
pub(super) fn open(name: &str) -> Result<Looked, String> {
    let say = |error: String| load::placed(Path::new(name), &error);
    let text = load::text(Path::new(name)).map_err(|fault| say(fault.0))?;
    let _ = seal::audit(&text).map_err(|error| say(error.to_string()))?;
    let stored = document::read(&text, None).map_err(|error| say(error.to_string()))?;

    Ok(Looked {
        candidate: stored.given.candidate,
        sitting: stored.sitting,
        name: name.to_owned(),
    })
}

//! Results of one sitting that do not come from each other.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use serde::Serialize;

use crate::results::summary::Identity;

/// One sitting with more than one result, none made from the other.
#[derive(Debug, PartialEq, Eq, Serialize)]
pub(super) struct Conflict {
    pub(super) exam: String,
    pub(super) candidate: String,
    pub(super) form: String,
    pub(super) started: String,
    /// The results by name; those made from each other stand together.
    pub(super) results: Vec<Vec<String>>,
}

/// Finds sittings whose results are not one chain of re-marks.
pub(super) fn conflicts(results: &[&(PathBuf, Identity)]) -> Vec<Conflict> {
    let mut sittings: BTreeMap<_, Vec<&(PathBuf, Identity)>> = BTreeMap::new();
    for of in results {
        let Identity {
            exam,
            candidate,
            started,
            form,
            ..
        } = &of.1;
        let key = (exam, candidate, started, form);
        sittings.entry(key).or_default().push(of);
    }

    sittings
        .into_iter()
        .map(|((exam, candidate, started, form), results)| Conflict {
            exam: exam.clone(),
            candidate: candidate.clone(),
            form: form.clone(),
            started: started.clone(),
            results: chains(&results),
        })
        .filter(|conflict| conflict.results.len() > 1)
        .collect()
}

/// Puts results together that were made from each other, by name.
fn chains(results: &[&(PathBuf, Identity)]) -> Vec<Vec<String>> {
    // Each points to another of its chain, or to itself.
    let mut points: Vec<usize> = (0..results.len()).collect();
    for (i, (_, identity)) in results.iter().enumerate() {
        let Some((name, digest)) = &identity.remark_of else {
            continue;
        };
        let from = results.iter().position(|(path, other)| match digest {
            Some(digest) => other.digest.to_string() == *digest,
            // An older program told the name alone.
            None => other.digest != identity.digest && *name == file_name(path),
        });
        if let Some(from) = from {
            let (one, other) = (end(&points, i), end(&points, from));
            points[one.max(other)] = one.min(other);
        }
    }

    let mut chains: BTreeMap<usize, Vec<String>> = BTreeMap::new();
    for (i, (path, _)) in results.iter().enumerate() {
        let end = end(&points, i);
        chains.entry(end).or_default().push(file_name(path));
    }
    chains.into_values().collect()
}

fn end(points: &[usize], mut at: usize) -> usize {
    while points[at] != at {
        at = points[at];
    }

    at
}

fn file_name(path: &Path) -> String {
    path.file_name()
        .map(|name| name.to_string_lossy().into_owned())
        .unwrap_or_default()
}

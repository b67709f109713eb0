//! Gathering results of several kiosks: what is there afterwards, whatever happens on the way.
#![allow(clippy::unwrap_used, reason = "a test stops at the first surprise")]

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;
use std::process::Stdio;
use std::time::{Duration, Instant};

use serde_json::Value;
use viva_voicing::results::document::{self, Given, Remark};
use viva_voicing::results::seal;

use crate::sittings::room::Room;
use crate::sittings::{program, run};

mod stopped;
mod whole;

/// One sitting, written as the result of any candidate.
struct Sat(Room);

impl Sat {
    fn new() -> Self {
        Self(Room::calm(21).sit())
    }

    fn given(&self, candidate: usize) -> Given {
        Given {
            candidate: format!("{candidate:04}"),
            started: format!("2026-03-12T10:{:02}:00Z", candidate % 60),
            ..self.0.given()
        }
    }

    fn write(&self, given: &Given) -> String {
        document::write(&self.0.sitting, given)
    }

    fn result(&self, candidate: usize) -> String {
        self.write(&self.given(candidate))
    }

    /// The same sitting, marked again from another result.
    fn remark(&self, candidate: usize, of: &str, was: &str) -> String {
        let remark = Remark {
            of: of.to_owned(),
            digest: Some(seal::audit(was).unwrap().head),
            because: "marked again".to_owned(),
            changes: Vec::new(),
        };
        self.write(&Given {
            remark: Some(remark),
            ..self.given(candidate)
        })
    }
}

fn put(folder: &Path, name: &str, text: &str) {
    let path = folder.join(name);
    fs::create_dir_all(path.parent().unwrap()).unwrap();
    fs::write(path, text).unwrap();
}

/// All files below a folder by their names in it, with what is in them.
fn all(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut folders = vec![folder.to_owned()];
    while let Some(at) = folders.pop() {
        for entry in fs::read_dir(at).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let name = path.strip_prefix(folder).unwrap();
                let name = name.to_str().unwrap().to_owned();
                drop(found.insert(name, fs::read(path).unwrap()));
            }
        }
    }

    found
}

fn names(folder: &Path) -> Vec<String> {
    all(folder).into_keys().collect()
}

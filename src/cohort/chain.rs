//! Which results count: of a chain of re-marks the last, of copies one.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::record::Record;

/// A result that counts for nothing in the class.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct SetAside {
    /// Its file.
    pub file: String,
    /// Why.
    pub why: Why,
    /// The file that counts in its place.
    pub counts: String,
}

/// Why a result is set aside.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Why {
    /// The same bytes stand in another file.
    Copy,
    /// It was marked or looked at again.
    Remarked,
    /// Another re-mark of the same sitting is later.
    Beside,
}

impl Why {
    /// Says it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Copy => "a copy",
            Self::Remarked => "marked or looked at again",
            Self::Beside => "another re-mark of the same sitting counts",
        }
    }
}

/// Places of the results that count, and the others.
pub(super) struct Chains {
    pub(super) last: Vec<usize>,
    pub(super) set_aside: Vec<SetAside>,
}

/// Sorts out chains and copies. A result stands for the one that it names by its digest, or by its
/// name in the same folder where it tells no digest. Where two were made from one, the one with
/// more re-marks behind it counts, and of equals the one whose name comes last.
pub(super) fn chains(records: &[Record]) -> Chains {
    let mut order: Vec<usize> = (0..records.len()).collect();
    order.sort_by(|one, other| rank(&records[*one]).cmp(&rank(&records[*other])));
    let mut by_digest: BTreeMap<String, usize> = BTreeMap::new();
    let mut by_file: BTreeMap<&str, usize> = BTreeMap::new();
    let mut set_aside = Vec::new();
    let mut own = Vec::new();

    for place in order {
        let record = &records[place];
        let digest = record.digest.to_string();
        if let Some(first) = by_digest.get(&digest) {
            let _ = by_file.insert(&record.file, *first);
            set_aside.push(SetAside {
                file: record.file.clone(),
                why: Why::Copy,
                counts: records[*first].file.clone(),
            });
        } else {
            let _ = by_digest.insert(digest, place);
            let _ = by_file.insert(&record.file, place);
            own.push(place);
        }
    }

    let parent = |place: usize| -> Parent {
        let record = &records[place];
        match &record.remark_of {
            None => Parent::None,
            Some((_, Some(digest))) => by_digest
                .get(digest)
                .map_or_else(|| Parent::Gone(digest.clone()), |of| Parent::Here(*of)),
            Some((name, None)) => {
                let path = beside(&record.file, name);
                by_file
                    .get(path.as_str())
                    .map_or(Parent::Gone(path), |of| Parent::Here(*of))
            }
        }
    };
    let mut families: BTreeMap<String, Vec<(usize, usize)>> = BTreeMap::new();
    for place in &own {
        let (root, depth) = root(*place, records, &parent);
        families.entry(root).or_default().push((depth, *place));
    }

    let mut last = Vec::new();
    for family in families.values_mut() {
        family.sort_by_key(|(depth, place)| {
            let (length, name) = rank(&records[*place]);
            Reverse((*depth, length, name))
        });
        let counts = family[0].1;
        let mut line = Vec::new();
        let mut above = Parent::Here(counts);
        while let Parent::Here(of) = above {
            if line.contains(&of) {
                break;
            }
            line.push(of);
            above = parent(of);
        }
        for (_, place) in &family[1..] {
            let why = if line.contains(place) {
                Why::Remarked
            } else {
                Why::Beside
            };
            set_aside.push(SetAside {
                file: records[*place].file.clone(),
                why,
                counts: records[counts].file.clone(),
            });
        }
        last.push(counts);
    }
    set_aside.sort();

    Chains { last, set_aside }
}

/// What a result was made from.
enum Parent {
    None,
    Here(usize),
    /// It is told, and no such result is here.
    Gone(String),
}

/// The first of a chain by a name of its own, and how many came after it.
fn root(place: usize, records: &[Record], parent: &impl Fn(usize) -> Parent) -> (String, usize) {
    let mut seen = vec![place];

    loop {
        let here = *seen
            .last()
            .expect("the chain begins with the result itself");
        match parent(here) {
            Parent::Here(above) if !seen.contains(&above) => seen.push(above),
            Parent::Gone(name) => return (name, seen.len()),
            Parent::None => return (records[here].digest.to_string(), seen.len() - 1),
            // Two that name each other tell no first one; the least digest stands for both.
            Parent::Here(_) => {
                let least = seen.iter().map(|of| records[*of].digest.to_string()).min();
                return (least.unwrap_or_default(), seen.len() - 1);
            }
        }
    }
}

/// Files by the length of their names and then by these, so that `-10` comes after `-9`.
fn rank(record: &Record) -> (usize, &str) {
    (record.file.len(), &record.file)
}

/// The name of a file in the folder of another.
fn beside(file: &str, name: &str) -> String {
    match file.rsplit_once('/') {
        Some((folder, _)) => format!("{folder}/{name}"),
        None => name.to_owned(),
    }
}

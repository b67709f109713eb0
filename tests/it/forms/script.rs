//! The cells of the shipped script, read from its text by another reader than the program's own.

use std::collections::BTreeMap;

use super::SHIPPED;

/// Counts by cell, the cells named in words.
pub(super) type Cells = BTreeMap<String, usize>;

fn table() -> toml::Table {
    SHIPPED.parse().expect("the shipped script is TOML")
}

fn cells(section: usize) -> Vec<toml::Table> {
    let table = table();
    let section = table["section"][section]
        .as_table()
        .expect("a section")
        .clone();
    let cells = section["cells"].as_array().expect("cells").clone();

    cells
        .into_iter()
        .map(|cell| cell.as_table().expect("a cell").clone())
        .collect()
}

/// Names the cells of a section, in their order, by some of their keys.
pub(super) fn names(section: usize, keys: &[&str]) -> Vec<String> {
    cells(section)
        .into_iter()
        .map(|cell| {
            let words: Vec<_> = keys
                .iter()
                .map(|key| cell[*key].as_str().expect("a text"))
                .collect();
            words.join(", ")
        })
        .collect()
}

/// Counts the items of a section by some keys of its cells.
pub(super) fn counts(section: usize, keys: &[&str]) -> Cells {
    let mut out = Cells::new();

    for (name, cell) in names(section, keys).into_iter().zip(cells(section)) {
        *out.entry(name).or_default() += cell["count"].as_integer().expect("a number") as usize;
    }

    out
}

/// The roots of each cell of a section, as the script lists them, with its quality.
pub(super) fn roots(section: usize) -> Vec<(String, Vec<String>)> {
    cells(section)
        .into_iter()
        .map(|cell| {
            let roots = cell["roots"].as_array().expect("a list");
            let names = roots
                .iter()
                .map(|root| root.as_str().expect("a name").to_owned());
            let quality = cell["quality"].as_str().expect("a text").to_owned();
            (quality, names.collect())
        })
        .collect()
}

/// The name of the group that a root belongs to.
pub(super) fn group(root: &str) -> String {
    let table = table();
    let groups = table["key_groups"].as_table().expect("key groups");
    let (name, _) = groups
        .iter()
        .find(|(_, roots)| {
            let roots = roots.as_array().expect("a list");
            roots.iter().any(|other| other.as_str() == Some(root))
        })
        .unwrap_or_else(|| panic!("no group has {root}"));

    name.clone()
}

/// Flat names of the pitch classes, from C.
pub(super) const NAMES: [&str; 12] = [
    "C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B",
];

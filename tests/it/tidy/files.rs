//! Every asset has its origin and licence on record.

use std::fs;

use super::{Faults, paths, root};

const ORIGINS: &str = "assets/ORIGINS.md";

/// Each asset's path below `assets` stands in the list of origins.
fn origins(list: &str, assets: &[&str]) -> Faults {
    assets
        .iter()
        .filter(|path| !list.contains(&format!("`{path}`")))
        .map(|path| format!("assets/{path}: {ORIGINS} does not say where it comes from"))
        .collect()
}

#[test]
fn every_asset_has_an_origin() {
    let list = fs::read_to_string(root().join(ORIGINS)).expect("the list of origins is there");
    let paths = paths();
    let assets: Vec<&str> = paths
        .iter()
        .filter(|path| *path != ORIGINS)
        .filter_map(|path| path.strip_prefix("assets/"))
        .collect();

    assert_eq!(origins(&list, &assets), Faults::new());
}

#[test]
fn an_asset_without_an_origin_is_found() {
    assert_eq!(
        origins("| `piano/c4.flac` | CC0-1.0 |", &["piano/c4.flac"]),
        Faults::new()
    );
    assert_eq!(
        origins("| `piano/c4.flac` |", &["piano/c4.flac", "c4.flac"]),
        ["assets/c4.flac: assets/ORIGINS.md does not say where it comes from"]
    );
}

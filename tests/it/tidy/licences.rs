//! Every package that is built with the program may be given away with it.

use std::process::{Command, Stdio};

use serde_json::Value;

use super::{Faults, root};

/// The licences that a package may offer (SPDX).
const ALLOWED: [&str; 12] = [
    "0BSD",
    "Apache-2.0",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "ISC",
    "MIT",
    "OFL-1.1",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// Packages that offer none of these, with the reason why they are here all the same.
const EXCEPTIONS: [(&str, &str); 0] = [];

/// Tells whether an SPDX expression can be met with allowed licences alone. A slash is the old
/// way of writing OR; an exception (WITH) only ever adds to what is allowed.
fn offers(expression: &str) -> bool {
    let spaced = expression
        .replace('(', " ( ")
        .replace(')', " ) ")
        .replace('/', " OR ");
    let mut words = spaced.split_whitespace().peekable();

    any(&mut words) == Some(true) && words.next().is_none()
}

type Words<'a> = std::iter::Peekable<std::str::SplitWhitespace<'a>>;

/// Reads alternatives; `None` where the expression is none.
fn any(words: &mut Words<'_>) -> Option<bool> {
    let mut met = all(words)?;
    while words.next_if_eq(&"OR").is_some() {
        met |= all(words)?;
    }
    Some(met)
}

fn all(words: &mut Words<'_>) -> Option<bool> {
    let mut met = one(words)?;
    while words.next_if_eq(&"AND").is_some() {
        met &= one(words)?;
    }
    Some(met)
}

fn one(words: &mut Words<'_>) -> Option<bool> {
    if words.next_if_eq(&"(").is_some() {
        let met = any(words)?;
        return words.next_if_eq(&")").map(|_| met);
    }
    let met = words.next().map(|word| ALLOWED.contains(&word))?;
    if words.next_if_eq(&"WITH").is_some() {
        let _ = words.next()?;
    }
    Some(met)
}

/// Checks what `cargo metadata` says of every package.
fn licences(metadata: &Value) -> Faults {
    let packages = metadata["packages"]
        .as_array()
        .map_or(&[][..], Vec::as_slice);

    packages
        .iter()
        .filter_map(|package| {
            let name = package["name"].as_str().unwrap_or("?");
            let licence = package["license"].as_str().unwrap_or("none named");
            let fine = offers(licence) || EXCEPTIONS.iter().any(|(other, _)| *other == name);
            (!fine)
                .then(|| format!("{name}: expected a licence that may be shipped, found {licence}"))
        })
        .collect()
}

/// Asks cargo. A package for another system may not have been downloaded; then those of this
/// system are asked for alone.
fn metadata() -> Value {
    let cargo = |arguments: &[&str]| {
        Command::new(env!("CARGO"))
            .args(arguments)
            .current_dir(root())
            .stdin(Stdio::null())
            .output()
            .expect("the cargo that built this test runs")
    };
    let asked = ["metadata", "--format-version", "1", "--offline", "--locked"];
    let mut output = cargo(&asked);

    if !output.status.success() {
        let version = String::from_utf8(cargo(&["-vV"]).stdout).expect("cargo speaks UTF-8");
        let host = version
            .lines()
            .find_map(|line| line.strip_prefix("host: "))
            .expect("cargo says what it runs on");
        output = cargo(&[&asked[..], &["--filter-platform", host]].concat());
    }
    assert!(
        output.status.success(),
        "cargo metadata: {}",
        String::from_utf8_lossy(&output.stderr)
    );

    serde_json::from_slice(&output.stdout).expect("cargo writes JSON")
}

#[test]
fn every_package_may_be_shipped() {
    let metadata = metadata();

    assert!(
        metadata["packages"]
            .as_array()
            .is_some_and(|all| all.len() > 20)
    );
    assert_eq!(licences(&metadata), Faults::new());
}

#[test]
fn expressions_are_weighed_as_spdx_says() {
    for fine in [
        "MIT",
        "MIT OR GPL-3.0-only",
        "LGPL-2.1-or-later OR (MIT AND Zlib)",
        "Unlicense/MIT",
        "(MIT OR Apache-2.0) AND Unicode-3.0",
        "Apache-2.0 WITH LLVM-exception OR GPL-2.0-only",
    ] {
        assert!(offers(fine), "{fine}");
    }
    for not in [
        "",
        "GPL-3.0-only",
        "MIT AND GPL-3.0-only",
        "(MIT OR Apache-2.0) AND GPL-2.0-only",
        "GPL-2.0-only WITH Classpath-exception-2.0",
        "MIT OR",
        "MIT)",
        "(MIT",
        "MITX",
        "none named",
    ] {
        assert!(!offers(not), "{not}");
    }
}

#[test]
fn a_package_that_may_not_be_shipped_is_found() {
    let metadata = serde_json::json!({"packages": [
        {"name": "a", "license": "MIT"},
        {"name": "b", "license": "GPL-3.0-only"},
        {"name": "c", "license": null},
    ]});

    assert_eq!(
        licences(&metadata),
        [
            "b: expected a licence that may be shipped, found GPL-3.0-only",
            "c: expected a licence that may be shipped, found none named",
        ]
    );
}

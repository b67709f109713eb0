//! Results of every version stay readable, and are marked again to what they state.
//!
//! The files in `tests/fixtures/results` are never changed once a version is out. Until then
//! `MAKE_RESULTS=1 cargo test old_results` makes them anew, as after a mended mark.

use std::path::{Path, PathBuf};

use viva_voicing::fraction;
use viva_voicing::results::{document, seal};
use viva_voicing::sitting::outcome::outcome;

use super::{Room, eventful, stopped, text, written};

const FOLDER: &str = "tests/fixtures/results/v1";

fn make() {
    let put = |name: &str, result: String| {
        std::fs::write(Path::new(FOLDER).join(name), result).unwrap();
    };
    put("eventful.toml", written(&eventful()));
    put("stopped.toml", written(&stopped("fire alarm")));
    put("void.toml", written(&stopped("pain in the wrist")));
    put("calm.toml", written(&Room::calm(21).sit()));
    let remark = {
        let stored = document::read(&written(&eventful()), None).unwrap();
        let remark = Some(document::Remark {
            of: "eventful.toml".to_owned(),
            digest: None,
            because: "marked by another script".to_owned(),
            changes: vec!["section A: 1.00 of 2.00 -> 3.00 of 4.00".to_owned()],
        });
        let given = document::Given {
            remark,
            ..stored.given
        };
        document::write(&stored.sitting, &given)
    };
    put("eventful-remark.toml", remark);
}

#[test]
fn old_results_are_read_and_marked_to_what_they_state() {
    if std::env::var_os("MAKE_RESULTS").is_some() {
        make();
    }
    let mut files: Vec<PathBuf> = std::fs::read_dir(FOLDER)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "toml"))
        .collect();
    files.sort();
    assert!(files.len() >= 5, "{files:?}");

    for path in files {
        let name = path.display();
        let result = text(&path);
        let verified = seal::audit(&result).unwrap_or_else(|fault| panic!("{name}: {fault}"));
        assert!(verified.blocks > 10);
        let stored =
            document::read(&result, None).unwrap_or_else(|error| panic!("{name}: {error}"));
        let outcome = outcome(&stored.sitting);
        assert_eq!(
            fraction::hundredths(outcome.grade.total.mark),
            stored.mark,
            "{name}"
        );
        let credits: Vec<_> = outcome
            .items
            .iter()
            .map(|item| {
                (
                    item.item.number,
                    item.marked.credit().map(fraction::hundredths),
                )
            })
            .collect();
        let stated: Vec<_> = stored
            .items
            .iter()
            .map(|item| (item.number, item.credit.clone()))
            .collect();
        assert_eq!(credits, stated, "{name}");
    }
}

#[test]
fn what_is_no_result_or_a_newer_one_is_refused_in_one_line() {
    let whole = text(&Path::new(FOLDER).join("eventful.toml"));
    let check = |result: &str, expected: &str| {
        let error = document::read(result, None).unwrap_err().to_string();
        assert!(error.contains(expected), "{error}");
        assert!(!error.contains('\n'), "{error}");
    };
    check("", "expected a result of Viva Voicing: ");
    check("x = ", "expected a result of Viva Voicing: line 1: ");
    check(
        &whole.replace("version = 1", "version = 99"),
        "this result has version 99",
    );
    check(
        &whole.replace("generator = ", "generator = 99"),
        "drawn by generator 99",
    );
    check(&whole.replace("form = \"", "form = \"2"), "form code");
    check(
        &whole.replacen("down", "dawn", 1),
        "expected a line of evidence such as",
    );
    check(
        &whole.replace("quality = \"m7\", order", "quality = \"xx\", order"),
        "exam script inside",
    );
    check(
        &whole.replacen("kind = \"voicing\"\nprompt", "kind = \"run\"\nprompt", 1),
        "was `A, run",
    );
}

//! `remark` over a folder.

use std::fs;

use viva_voicing::results::{document, summary};

use super::class::Class;
use crate::sittings::room::MIXED;
use crate::sittings::run;

#[test]
fn a_class_is_marked_again_and_whose_band_changed_comes_first() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path();
    let script = fs::read_to_string(MIXED).unwrap();
    let class = Class::of_one_form(&script, "mixed");
    fs::create_dir(path.join("class")).unwrap();
    for candidate in 0..12 {
        let name = path.join(format!("class/{candidate:02}.toml"));
        fs::write(name, class.result(candidate)).unwrap();
    }
    // One has an overruled item, in a result beside the first.
    let mut sitting = class.sitting(3);
    let number = sitting.form().items[0].number;
    let level = (0..=4)
        .find(|level| {
            sitting
                .overrule(number, *level, ("graze", "Inez", "2026-03-13"))
                .is_ok()
        })
        .unwrap();
    let first = fs::read_to_string(path.join("class/03.toml")).unwrap();
    let given = document::Given {
        remark: Some(document::Remark {
            of: "03.toml".to_owned(),
            digest: Some(summary::read(&first).unwrap().digest),
            ..document::Remark::default()
        }),
        ..class.given(3)
    };
    fs::write(
        path.join("class/03-review.toml"),
        document::write(&sitting, &given),
    )
    .unwrap();

    // The lower band reaches further up.
    let lenient =
        script
            .replacen("from = 60", "from = 35", 1)
            .replacen("pass = 60", "pass = 35", 1);
    fs::write(path.join("mixed.toml"), lenient).unwrap();
    let before: Vec<Vec<u8>> = old(path);
    let (code, said, complaint) = run(path, &["remark", "class", "--exam", "mixed.toml"]);
    assert_eq!((code, complaint.as_str()), (0, ""), "{said}");
    assert_eq!(old(path), before);

    let totals: Vec<&str> = said
        .lines()
        .filter(|line| line.starts_with("  total "))
        .collect();
    assert_eq!(totals.len(), 12);
    let changed: Vec<bool> = totals.iter().map(|line| line.contains("->")).collect();
    assert!(changed[0] && !changed[11], "{totals:?}");
    assert!(
        changed.is_sorted_by(|one, other| one >= other),
        "{totals:?}"
    );
    let count = changed.iter().filter(|changed| **changed).count();
    assert!(
        said.starts_with(&format!(
            "class: 12 results marked again, {count} with another band"
        )),
        "{said}"
    );
    assert!(said.contains("\n  keeps 1 overruling by Inez\n"), "{said}");
    let kept = fs::read_to_string(path.join("class/03-review-remark.toml")).unwrap();
    let kept = document::read(&kept, None).unwrap();
    assert_eq!(kept.sitting.overruled(number).unwrap().level, level);
    assert!(!path.join("class/03-remark.toml").exists());

    // Moderated, each candidate counts once: by the re-mark.
    let (_, said, _) = run(path, &["moderate", "class"]);
    assert!(
        said.starts_with("25 results read, 12 sittings counted; set aside: 13 marked or looked at"),
        "{said}"
    );
}

/// The results that were there before.
fn old(path: &std::path::Path) -> Vec<Vec<u8>> {
    let names = (0..12).map(|candidate| format!("class/{candidate:02}.toml"));

    names
        .chain(["class/03-review.toml".to_owned()])
        .map(|name| fs::read(path.join(name)).unwrap())
        .collect()
}

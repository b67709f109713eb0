//! `moderate` over folders of results.

use std::fs;
use std::path::Path;

use super::class::Class;
use crate::sittings::room::MIXED;
use crate::sittings::run;

/// A folder with so many results of the tests' exam, in one form or in many.
fn folder(count: u64, one_form: bool) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    let script = fs::read_to_string(MIXED).unwrap();
    let class = match one_form {
        true => Class::of_one_form(&script, "mixed"),
        false => Class::new(&script, "mixed"),
    };
    fs::create_dir(folder.path().join("class")).unwrap();
    for candidate in 0..count {
        let path = folder.path().join(format!("class/{candidate:04}.toml"));
        fs::write(path, class.result(candidate)).unwrap();
    }

    folder
}

fn tables(folder: &Path) -> std::path::PathBuf {
    folder.join("out/mixed-5f5f5f5f")
}

fn rows(path: &Path) -> Vec<csv::StringRecord> {
    csv::Reader::from_path(path)
        .unwrap()
        .into_records()
        .map(Result::unwrap)
        .collect()
}

#[test]
fn a_class_gets_its_tables_and_nothing_is_overwritten() {
    let folder = folder(24, true);
    let path = folder.path();
    let (code, said, complaint) = run(path, &["moderate", "class", "--out", "out"]);
    assert_eq!((code, complaint.as_str()), (0, ""));
    assert!(
        said.contains("24 results read, 24 sittings counted\n"),
        "{said}"
    );
    assert!(said.ends_with("Tables: out/mixed-5f5f5f5f\n"), "{said}");

    let class = rows(&tables(path).join("class.csv"));
    assert_eq!(class.len(), 24);
    assert_eq!(&class[0][0], "1000");
    let before = fs::read_to_string(tables(path).join("class.csv")).unwrap();
    let (code, said, complaint) = run(path, &["moderate", "class", "--out", "out"]);
    assert_eq!((code, said.as_str()), (1, ""));
    assert!(
        complaint.contains("left alone; name another folder"),
        "{complaint}"
    );
    assert_eq!(
        fs::read_to_string(tables(path).join("class.csv")).unwrap(),
        before
    );
}

#[test]
fn damaged_results_are_named_and_left_out() {
    let folder = folder(3, true);
    let path = folder.path();
    let file = path.join("class/0001.toml");
    let whole = fs::read_to_string(&file).unwrap();
    fs::write(&file, whole.replacen("mark = ", "mark = 1", 1)).unwrap();
    fs::write(path.join("class/notes.csv"), "no result").unwrap();
    fs::create_dir(path.join("class/journals")).unwrap();
    fs::write(path.join("class/journals/0.toml"), "no result").unwrap();
    fs::create_dir(path.join("class/late")).unwrap();
    fs::rename(
        path.join("class/0002.toml"),
        path.join("class/late/0002.toml"),
    )
    .unwrap();

    let (code, said, complaint) = run(path, &["moderate", "class"]);
    assert_eq!(code, 0);
    assert!(
        said.starts_with("2 results read, 2 sittings counted\n1 could not be read"),
        "{said}"
    );
    assert!(
        complaint.starts_with("class/0001.toml: lines "),
        "{complaint}"
    );
    assert_eq!(complaint.lines().count(), 1, "{complaint}");

    for (name, expected) in [
        (
            "class/journals",
            "class/journals: expected results, and none could be read",
        ),
        ("none", "none: this folder could not be read"),
    ] {
        let (code, said, complaint) = run(path, &["moderate", name]);
        assert_eq!((code, said.as_str()), (1, ""), "{name}");
        assert!(
            complaint.lines().last().unwrap().starts_with(expected),
            "{complaint}"
        );
    }
}

#[test]
fn names_stand_in_the_class_table_with_a_roster_alone() {
    let folder = folder(3, false);
    let path = folder.path();
    fs::write(
        path.join("class.csv"),
        "sourcedId,identifier,givenName,familyName\nid-7,1000,=Inez,Ó Briain\n,1002,,\n",
    )
    .unwrap();
    let roster = ["moderate", "class", "--out", "out", "--roster", "class.csv"];
    let (code, said, _) = run(path, &roster);
    assert_eq!(code, 0);
    assert!(!said.contains("Inez"), "{said}");

    let names: Vec<String> = rows(&tables(path).join("class.csv"))
        .iter()
        .map(|row| row[1].to_owned())
        .collect();
    assert_eq!(names, ["'=Inez Ó Briain", "", ""]);
    let students: Vec<String> = rows(&tables(path).join("gradebook.csv"))
        .iter()
        .map(|row| row[4].to_owned())
        .collect();
    assert_eq!(students, ["id-7", "1001", "1002"]);
}

/// The columns are those of OneRoster 1.1 as a third-party importer reads them
/// (`oneroster_1_1_columns.csv`).
#[test]
fn the_gradebook_has_the_columns_of_oneroster() {
    let folder = folder(2, false);
    let path = folder.path();
    let _ = run(path, &["moderate", "class", "--out", "out"]);
    let columns = csv::Reader::from_path("tests/fixtures/reference/oneroster_1_1_columns.csv")
        .unwrap()
        .into_records()
        .map(Result::unwrap)
        .collect::<Vec<_>>();

    for (file, standard) in [
        ("gradebook.csv", "results.csv"),
        ("lineItems.csv", "lineItems.csv"),
    ] {
        let expected: Vec<&str> = columns
            .iter()
            .filter(|row| &row[0] == standard)
            .map(|row| &row[2])
            .collect();
        let text = fs::read_to_string(tables(path).join(file)).unwrap();
        assert_eq!(text.lines().next().unwrap(), expected.join(","), "{file}");
        assert!(expected.len() > 8);
    }
}

#[test]
fn everything_is_one_json_document_too() {
    let folder = folder(20, false);
    let path = folder.path();
    let judges = "judge,section,item,estimate\nA,A,cell 1,60\nB,A,cell 1,70\n";
    fs::write(path.join("judges.csv"), judges).unwrap();
    let (code, said, _) = run(
        path,
        &["moderate", "class", "--json", "--angoff", "judges.csv"],
    );
    assert_eq!(code, 0);
    let document: serde_json::Value = serde_json::from_str(&said).unwrap();
    let exam = &document["exams"][0];

    assert_eq!(document["results"], 20);
    assert_eq!(exam["sittings"].as_array().unwrap().len(), 20);
    assert_eq!(exam["cut"]["judges"].as_array().unwrap().len(), 2);
    assert!(exam["reliability"]["over_forms"][0]["reliability"].is_number());
}

#[test]
fn estimates_with_a_fault_are_told_with_file_and_line() {
    let folder = folder(1, false);
    let path = folder.path();
    fs::write(
        path.join("judges.csv"),
        "judge,section,item,estimate\nA,A,1,much\n",
    )
    .unwrap();
    let (code, _, complaint) = run(path, &["moderate", "class", "--angoff", "judges.csv"]);

    assert_eq!(code, 1);
    assert_eq!(
        complaint,
        "judges.csv: line 2: expected an estimate from 0 to 100 percent, found `much`; write a \
         number such as 60\n"
    );
}

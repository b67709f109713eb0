//! The cohort's figures against published examples and a statistics library.
//!
//! Sources of the tables: `tests/fixtures/reference/README.md`.

use std::path::Path;

use viva_voicing::cohort::item::{Item, Scope};
use viva_voicing::cohort::{Cohort, Exam};
use viva_voicing::marking::statistics::{Nested, Variance};

use super::summary;

fn lines(name: &str) -> Vec<Vec<String>> {
    let path = Path::new("tests/fixtures/reference").join(name);

    csv::Reader::from_path(path)
        .unwrap()
        .into_records()
        .map(|row| row.unwrap().iter().map(str::to_owned).collect())
        .collect()
}

/// The ten students and ten items of a public KR-20 example; the thousand candidates and five
/// items of section 6 of the Law School Admission Test.
fn right(set: &str) -> Vec<Vec<bool>> {
    match set {
        "ECU_KR20_10x10" => lines("stats_ecu_matrix.csv")
            .iter()
            .map(|row| row[1..].iter().map(|cell| cell == "1").collect())
            .collect(),
        "LSAT6" => lines("stats_lsat6_patterns.csv")
            .iter()
            .flat_map(|row| {
                let pattern = row[0].bytes().map(|digit| digit == b'1').collect();
                std::iter::repeat_n(pattern, row[1].parse().unwrap())
            })
            .collect(),
        other => panic!("expected a known data set, found {other}"),
    }
}

fn exam(set: &str) -> Exam {
    let mut cohort = Cohort::default();
    for (candidate, right) in right(set).iter().enumerate() {
        cohort.add(&format!("{candidate}.toml"), &summary(candidate, right));
    }

    cohort.report().exams.remove(0)
}

fn close(found: Option<f64>, expected: f64, what: &str) {
    let found = found.unwrap_or_else(|| panic!("{what}: expected {expected}, found nothing"));
    assert!(
        (found - expected).abs() < 1e-9,
        "{what}: expected {expected}, found {found}"
    );
}

#[test]
fn reliability_is_that_of_the_published_examples() {
    let table = lines("stats_reliability.csv");
    let value = |set: &str, statistic: &str| -> f64 {
        let line = table
            .iter()
            .find(|line| line[0] == set && line[4] == statistic);
        line.unwrap()[5].parse().unwrap()
    };

    for set in ["ECU_KR20_10x10", "LSAT6"] {
        let exam = exam(set);
        let [section, whole] = exam.reliability.forms[0].figures.as_slice() else {
            panic!("{:?}", exam.reliability)
        };
        for figure in [section, whole] {
            close(figure.kr20, value(set, "kr20_popvar"), set);
            close(figure.reliability, value(set, "pingouin_alpha"), set);
            close(figure.error, value(set, "sem_popSD"), set);
        }
        let all = exam.forms.all.unwrap();
        close(Some(all.mean), value(set, "mean"), set);
        close(all.deviation, value(set, "var_sample").sqrt(), set);
    }

    // To the four digits in print.
    let print = |set| {
        format!(
            "{:.4}",
            exam(set).reliability.forms[0].figures[0].kr20.unwrap()
        )
    };
    assert_eq!(print("ECU_KR20_10x10"), "0.6963");
    assert_eq!(print("LSAT6"), "0.2950");
}

#[test]
fn items_are_those_of_scipy() {
    for line in lines("stats_items.csv") {
        let exam = exam_of(&line[0]);
        let prompt = format!("item {}", line[1]);
        let is_it =
            |item: &&Item| matches!(&item.scope, Scope::Item { prompt: of, .. } if *of == prompt);
        let item = exam.items.iter().find(is_it).unwrap();
        let what = format!("{}, {prompt}", line[0]);

        close(Some(item.difficulty), line[2].parse().unwrap(), &what);
        let rest_score: f64 = line[5].parse().unwrap();
        close(item.discrimination, rest_score, &what);
    }
}

/// Each set is worked out once.
fn exam_of(set: &str) -> &'static Exam {
    use std::sync::OnceLock;
    static ECU: OnceLock<Exam> = OnceLock::new();
    static LSAT: OnceLock<Exam> = OnceLock::new();

    match set {
        "LSAT6" => LSAT.get_or_init(|| exam(set)),
        _ => ECU.get_or_init(|| exam(set)),
    }
}

/// Shrout and Fleiss 1979, "Intraclass correlations: uses in assessing rater reliability", table 2
/// and table 4: six targets, four judges; between targets 11.24, within 6.26; ICC(1,4) = .44 (from
/// memory).
#[test]
fn the_one_way_reliability_is_that_of_shrout_and_fleiss() {
    let rows = [
        [9, 2, 5, 8],
        [6, 1, 3, 2],
        [8, 4, 6, 8],
        [7, 1, 2, 6],
        [10, 5, 6, 9],
        [6, 2, 4, 7],
    ];
    let mut nested = Nested::default();
    for row in rows {
        nested.add(&row);
    }

    assert_eq!(format!("{:.2}", nested.between().unwrap()), "11.24");
    assert_eq!(format!("{:.2}", nested.within().unwrap()), "6.26");
    assert_eq!(format!("{:.2}", nested.reliability().unwrap()), "0.44");
}

/// The example of scipy.stats.pointbiserialr (from memory).
#[test]
fn the_point_biserial_of_scipys_manual_comes_out_of_sums() {
    let mut pairs = viva_voicing::marking::statistics::Comoments::default();
    for (y, x) in [0, 0, 0, 1, 1, 1, 1].into_iter().enumerate() {
        pairs.add(x, y as i64);
    }

    close(pairs.correlation(), 0.866_025_403_784_438_6, "r");
    close(pairs.xs().variance(Variance::Population), 12.0 / 49.0, "pq");
}

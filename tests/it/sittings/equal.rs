//! One sitting on five ways, and the same marks to the last digit.

use viva_voicing::cli::replay;
use viva_voicing::exam::draw;
use viva_voicing::instruments::performance::{self, Performance};
use viva_voicing::results::{document, seal};
use viva_voicing::sitting::{Event, Sitting, journal, resume};
use viva_voicing::time::Time;

use super::room::{MIXED, Room, marks, same};

/// Plays a performance as `sit` does.
fn replayed(like: &Sitting, performance: &Performance) -> Sitting {
    let form = draw::draw(like.exam(), like.form().code).unwrap();
    let mut sitting = Sitting::new(like.exam().clone(), form, like.allowance());
    let mut record = |_: Time, _: &Event| Ok::<(), replay::Error>(());
    replay::play(&mut sitting, performance, Time::ZERO, &mut record).unwrap();

    sitting
}

fn check(seed: u64) {
    let room = Room::new(seed).sit();
    let live = marks(&room.sitting);
    let what = |what: &str| format!("seed {seed}, {what}");

    // The journal replays to the same sitting, down to each event and incident.
    let (text, _) = room.journal();
    let (_, again) = resume::sitting(&journal::read(text.as_bytes()).unwrap()).unwrap();
    same_sitting(&again, &room.sitting, &what("journal"));
    same(&marks(&again), &live, &what("journal"));

    // The result holds all of it, and writes itself again byte for byte.
    let result = document::write(&room.sitting, &room.given());
    assert!(seal::audit(&result).is_ok(), "seed {seed}");
    let stored = document::read(&result, None).unwrap();
    same_sitting(&stored.sitting, &room.sitting, &what("result"));
    same(&marks(&stored.sitting), &live, &what("result"));
    let again = document::write(&stored.sitting, &stored.given);
    let lines = |text: &str| text.lines().map(str::to_owned).collect::<Vec<_>>();
    same(&lines(&again), &lines(&result), &what("result again"));

    // So does the performance, through a file and twice.
    let bytes = performance::write(&replay::performance(&room.sitting));
    let performance = performance::read(&bytes).unwrap_or_else(|error| panic!("{seed}: {error}"));
    let sat = replayed(&room.sitting, &performance);
    same(&marks(&sat), &live, &what("performance"));
    assert_eq!(
        sat.showings().len(),
        room.sitting.showings().len(),
        "seed {seed}"
    );
    let twice = performance::write(&replay::performance(&sat));
    let sat = replayed(&sat, &performance::read(&twice).unwrap());
    same(&marks(&sat), &live, &what("performance again"));
}

fn same_sitting(found: &Sitting, expected: &Sitting, what: &str) {
    same(found.showings(), expected.showings(), what);
    same(found.incidents(), expected.incidents(), what);
    assert_eq!(found.now(), expected.now(), "{what}");
    assert_eq!(found.end(), expected.end(), "{what}");
    assert_eq!(found.panel(), expected.panel(), "{what}");
}

#[test]
fn live_replayed_exported_and_stored_sittings_have_the_same_marks() {
    let cases = std::env::var("FUZZ_CASES").ok();
    let cases = cases.and_then(|text| text.parse().ok()).unwrap_or(60);

    for seed in 0..cases {
        check(seed);
    }
}

#[test]
fn the_invented_students_do_all_that_can_be_done() {
    // A test of the test: over some seeds each kind of thing happens, and marks differ.
    let mut incidents = std::collections::BTreeSet::new();
    let mut reasons = std::collections::BTreeSet::new();
    let (mut voided, mut added, mut late, mut ended) = (0, 0, 0, 0);

    for seed in 0..40 {
        let room = Room::new(seed).sit();
        incidents.extend(
            room.sitting
                .incidents()
                .iter()
                .map(|incident| incident.kind.clone()),
        );
        for showing in room.sitting.showings() {
            voided += usize::from(showing.voided.is_some());
            added += usize::from(showing.added > Time::ZERO);
            ended += usize::from(showing.ended.is_some());
            late += usize::from(showing.events.iter().any(|event| event.at < Time::ZERO));
        }
        for line in marks(&room.sitting) {
            for word in [
                "Right at once",
                "s late",
                "second attempt",
                "foreign note",
                "instead of",
                "missing",
                "by way of",
                "on top",
                "chords right at first sounding",
                "No answer",
                "Nothing was played",
                "not written",
                "void: true",
            ] {
                if line.contains(word) {
                    let _ = reasons.insert(word);
                }
            }
        }
    }

    for kind in [
        "clock started",
        "clock stopped",
        "noise",
        "no spare item left",
        "stopped",
        "time added",
        "time not added",
        "voided",
    ] {
        assert!(incidents.contains(kind), "{kind}: {incidents:?}");
    }
    assert!(reasons.len() >= 12, "{reasons:?}");
    assert!(
        voided > 40 && added > 40 && late > 40 && ended > 20,
        "{voided} {added} {late} {ended}"
    );
}

#[test]
fn export_and_sit_give_the_same_marks_through_the_program() {
    let folder = tempfile::tempdir().unwrap();
    let exam = std::fs::canonicalize(MIXED).unwrap();

    for seed in 100..106 {
        let room = Room::calm(seed).sit();
        let bytes = performance::write(&replay::performance(&room.sitting));
        let name = |what: &str| format!("{seed}-{what}");
        std::fs::write(folder.path().join(name("live.mid")), bytes).unwrap();
        let allowance = room.sitting.allowance();
        let factor = format!("{:.2}", f64::from(allowance.factor) / 100.0);
        let hearings = allowance.hearings.to_string();
        let sit = |performance: &str, results: &str| {
            let (code, said, complaint) = super::run(
                folder.path(),
                &[
                    "sit",
                    exam.to_str().unwrap(),
                    "--performance",
                    performance,
                    "--time-factor",
                    &factor,
                    "--extra-hearings",
                    &hearings,
                    "--started",
                    "2026-03-12T10:21:00Z",
                    "--results",
                    results,
                ],
            );
            assert_eq!(code, 0, "{said}{complaint}");
            super::only_result(&folder.path().join(results))
        };

        let first = sit(&name("live.mid"), &name("first"));
        let (code, _, complaint) = super::run(
            folder.path(),
            &[
                "export",
                first.to_str().unwrap(),
                "--performance",
                &name("out.mid"),
            ],
        );
        assert_eq!(code, 0, "{complaint}");
        let second = sit(&name("out.mid"), &name("second"));

        let stored = |path| {
            let text = std::fs::read_to_string(path).unwrap();
            document::read(&text, None).unwrap()
        };
        let (first, second) = (stored(&first), stored(&second));
        assert_eq!(marks(&first.sitting), marks(&room.sitting), "seed {seed}");
        assert_eq!(marks(&second.sitting), marks(&room.sitting), "seed {seed}");
        assert_eq!(
            (first.mark, first.items, first.sections),
            (second.mark, second.items, second.sections)
        );
    }
}

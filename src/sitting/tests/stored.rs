//! A journal replayed gives the same sitting.

use super::super::journal::{self, Writer};
use super::super::{resume, wire};
use super::*;

fn header(exam: &str, form: &Form) -> wire::Header {
    wire::Header {
        version: wire::VERSION,
        program: "0".to_owned(),
        generator: crate::exam::form::GENERATOR,
        exam: "try-out".to_owned(),
        script: exam.to_owned(),
        form: form.code.to_string(),
        candidate: "3118".to_owned(),
        started: "2026-03-12T10:21:00Z".to_owned(),
        instrument: "keyboard".to_owned(),
        factor: 100,
        ..wire::Header::default()
    }
}

fn source() -> String {
    format!(
        "title = \"Try-out\"\nlevel = \"class\"\nedition = \"1\"\nabout = \"A try-out.\"\n\n\
         [rules]\ntiming = \"Time is examined.\"\nseats = 1\nwarm_ups = 1\n{MIXED}"
    )
}

#[test]
fn every_kind_of_event_is_taken_up_again() {
    let source = source();
    let (exam, _) = read::read(&source, "try-out");
    let mut room = Room::of(exam.unwrap());
    let key = Key::new(60).unwrap();
    let said = |text: &str| text.to_owned();
    let events = [
        (100, Event::Go),
        (200, Event::WarmUpShown(0)),
        (300, Event::Did(Action::Down(key, 80))),
        (20_000, Event::Go),
        (20_100, Event::Shown(1)),
        (21_000, Event::Did(Action::Down(key, 80))),
        (21_001, Event::Did(Action::Pedal(127))),
        (21_500, Event::Did(Action::Up(key))),
        (21_600, Event::TimeAdded(Time::from_tenths(12_345))),
        (22_000, Event::Paused(said("a \"cable\"\n"))),
        (23_000, Event::Resumed),
        (
            24_000,
            Event::Noted(Incident {
                at: Time::ZERO,
                item: None,
                kind: said("noise"),
                text: said("♭ door"),
                by: said("Inez"),
            }),
        ),
        (30_000, Event::Shown(9)),
        (32_000, Event::Sounded),
        (32_001, Event::Did(Action::Hear)),
        (35_000, Event::Did(Action::Answer(said("m7♭5 / x")))),
        (36_000, Event::Did(Action::HandIn)),
        (
            36_500,
            Event::Voided {
                reason: said("coughing"),
                by: said("Inez"),
            },
        ),
        (
            37_000,
            Event::Panel {
                item: 14,
                credit: fraction::of(2, 3).unwrap(),
                by: said("Inez"),
            },
        ),
        (50_000, Event::Shown(3)),
        (51_000, Event::Stopped(said("pain"))),
    ];
    let mut writer = Writer::new();
    let mut text = writer.line(&header(&source, room.sitting.form())).unwrap();
    for (ms, event) in events {
        let at = Time::from_ms(ms) + Time::from_tenths(3);
        text += &writer.line(&wire::Line::new(at, &event)).unwrap();
        let _ = room.at_time(at, event);
    }

    let reading = journal::read(text.as_bytes()).unwrap();
    let (found, sitting) = resume::sitting(&reading).unwrap();
    assert_eq!(found, header(&source, room.sitting.form()));
    assert_eq!(sitting.showings(), room.sitting.showings());
    assert_eq!(sitting.incidents(), room.sitting.incidents());
    assert_eq!(sitting.panel(), room.sitting.panel());
    assert_eq!(sitting.end(), room.sitting.end());
    assert_eq!(sitting.now(), room.sitting.now());
    assert_eq!(resume::interruption(&sitting, false), []);
}

#[test]
fn what_can_not_be_taken_up_is_said() {
    let source = source();
    let (exam, _) = read::read(&source, "try-out");
    let form = draw::draw(&exam.unwrap(), Code::FIRST).unwrap();
    let head = header(&source, &form);
    let check = |lines: &[String], expected: &str| {
        let mut writer = Writer::new();
        let text: String = lines
            .iter()
            .map(|body| {
                let value: Box<serde_json::value::RawValue> = serde_json::from_str(body).unwrap();
                writer.line(&value).unwrap()
            })
            .collect();
        let reading = journal::read(text.as_bytes()).unwrap();
        let error = resume::sitting(&reading).unwrap_err().to_string();
        assert!(error.contains(expected), "{error}");
        assert!(!error.contains('\n'), "{error}");
    };
    let with = |change: &dyn Fn(&mut wire::Header)| {
        let mut head = head.clone();
        change(&mut head);
        serde_json::to_string(&head).unwrap()
    };
    let whole = with(&|_| {});

    check(&[], "found an empty one");
    check(
        &["{\"t\":1}".to_owned()],
        "line 1: expected the head of a sitting's journal",
    );
    check(&[with(&|head| head.version = 99)], "journal has version 99");
    check(&[with(&|head| head.generator = 0)], "drawn by generator 0");
    check(
        &[with(&|head| head.script = "x".to_owned())],
        "script in the journal has faults",
    );
    check(
        &[with(&|head| head.form = "22222".to_owned())],
        "can't be drawn",
    );
    check(
        &[with(&|head| head.form = "2222-ZZ".to_owned())],
        "can't be drawn",
    );
    check(
        &[whole.clone(), "[]".to_owned()],
        "line 2: expected an event of a sitting",
    );
    check(
        &[whole, "{\"t\":1,\"down\":[200,1]}".to_owned()],
        "line 2: expected an event of a sitting: a number is out of its range",
    );
}

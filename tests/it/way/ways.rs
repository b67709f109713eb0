//! Every way through: by keys, by pointer, by the instrument, and one candidate after another.

use viva_voicing::kiosk::Kiosk;
use viva_voicing::kiosk::Paper;
use viva_voicing::kiosk::act::Key as Meaning;
use viva_voicing::kiosk::model::Screen;
use viva_voicing::kiosk::seat::Phase;
use viva_voicing::kiosk::words::{ENGLISH, GERMAN};
use viva_voicing::sitting::End;

use super::stage::{Scene, Stage, script};

/// An exam that is over after a few items, and one that hears no keyboard at all.
fn short() -> Scene {
    let mixed = script("tests/fixtures/sittings/mixed.toml");
    let head = mixed.split("[[section]]").next().unwrap().to_owned();
    let spelling = mixed
        .split("[[section]]")
        .find(|part| part.contains("kind = \"spell\""))
        .unwrap();
    let spelling = spelling.replace("points = 10", "points = 100");
    let head = head.replace("warm_ups = 2", "warm_ups = 0");

    Scene {
        scripts: vec![format!("{head}[[section]]{spelling}")],
        ..Scene::mixed()
    }
}

#[test]
fn keys_alone_lead_from_the_cover_to_the_cover() {
    let mut stage = Stage::new(short().roster(3));
    stage.says("Practice examination for jazz piano");
    stage.says("One section, about one minute, one hundred marks");
    stage.enter();
    stage.says("Type the four figures on your slip");
    stage.types("3102");
    stage.says("Press Enter, or type over it.");
    stage.enter();
    stage.pass(60);
    // Nothing is played and nothing sounds: there is nothing to check.
    stage.says("The plan of the examination");
    stage.says("3 chords, twenty seconds each");
    stage.says("60 marks");
    stage.says_not("Pain is a reason");
    stage.enter();
    stage.says("Section E · Spelling");
    stage.sit_until(|kiosk| matches!(kiosk.screen, Screen::End(_)));
    assert_eq!(stage.kiosk.ended(), Some(&End::Complete));
    stage.says("Not yet");
    stage.says("0 of 100 marks; the pass mark is 60");
    stage.says("The standard error is at least half an item.");
    stage.says("Spelling: it brought 0 % of its marks.");
    stage.enter();
    stage.says("Play middle C, or press Enter");
}

#[test]
fn the_next_candidate_signs_in_and_who_has_handed_in_does_not() {
    let mut stage = Stage::new(short().roster(3));
    stage.enter();
    stage.point("3101");
    stage.pass(60);
    stage.enter();
    stage.sit_until(|kiosk| matches!(kiosk.screen, Screen::End(_)));
    // The page closes by itself.
    stage.pass(59_000);
    stage.says("Thank you");
    stage.pass(2_000);
    stage.says("Play middle C, or press Enter");

    stage.enter();
    stage.says("handed in");
    stage.types("3101");
    stage.enter();
    stage.says("3101 has handed in already");
    stage.types("3103");
    stage.says_not("has handed in already");
    stage.enter();
    stage.pass(60);
    stage.says("Candidate 3103");
    stage.says("The plan of the examination");
}

#[test]
fn a_number_that_is_not_on_the_list_is_said_and_can_be_typed_anew() {
    let mut stage = Stage::new(short().roster(3));
    stage.enter();
    stage.enter();
    stage.says("Your candidate number");
    stage.types("99a9");
    stage.enter();
    stage.says("99a9 is not on the list. Look at your slip once more, or ask.");
    stage.types("31029");
    stage.key(Meaning::Backspace);
    stage.says("3102");
    stage.enter();
    stage.pass(60);
    stage.says("Candidate 3102");
}

#[test]
fn any_number_will_do_without_a_list() {
    let mut stage = Stage::new(short());
    stage.enter();
    stage.says("Type the figures on your slip.");
    stage.types("12345678901234");
    stage.says("123456789012");
    stage.enter();
    stage.pass(60);
    stage.says("Candidate 123456789012");
}

#[test]
fn a_long_list_is_shorter_while_one_types_and_has_leaves() {
    let mut stage = Stage::new(short().roster(200));
    stage.enter();
    stage.says("3101");
    stage.says_not("3299");
    stage.point("More");
    stage.says_not("3101");
    stage.point("Earlier");
    stage.says("3101");
    stage.types("329");
    stage.says("3299");
    stage.says_not("3101");
    for _ in 0..3 {
        stage.key(Meaning::Backspace);
    }
    stage.says("3101");
    stage.tab_to("More");
    stage.tab_to("More");
    stage.types("3300");
    stage.enter();
    stage.pass(60);
    stage.says("Candidate 3300");
}

#[test]
fn the_pointer_alone_leads_to_the_end() {
    let mut stage = Stage::new(short().roster(3));
    stage.point("Play middle C, or press Enter");
    stage.point("3103");
    stage.pass(60);
    stage.point("Begin");
    stage.point("Go on");
    stage.pass(100);
    stage.point("Hand in");
    stage.sit_until(|kiosk| matches!(kiosk.screen, Screen::End(_)));
    stage.point("Close");
    stage.says("Play middle C, or press Enter");
}

#[test]
fn middle_c_opens_the_sign_in_and_no_other_key_does() {
    let mut stage = Stage::new(short());
    stage.play(61);
    stage.says("Play middle C, or press Enter");
    stage.play(60);
    stage.says("Your candidate number");

    let mut stage = Stage::new(Scene {
        midi: false,
        ..short()
    });
    stage.says("Press Enter to begin");
    stage.says_not("middle C");
    stage.enter();
    stage.says("Your candidate number");
}

#[test]
fn several_exams_are_chosen_by_digit_by_focus_and_by_pointer() {
    let several = || Scene {
        scripts: vec![short().scripts[0].clone(), script("exams/guide-tones.toml")],
        ..short()
    };
    let choose = |how: &dyn Fn(&mut Stage)| {
        let mut stage = Stage::new(several());
        stage.says("Which examination?");
        stage.enter();
        stage.play(60);
        stage.says("Which examination?");
        how(&mut stage);
        stage.says("Your candidate number");
        stage.says("Guide-tone voicings");
    };
    choose(&|stage| stage.types("2"));
    choose(&|stage| stage.point("Guide-tone voicings"));
    choose(&|stage| stage.tab_to("Guide-tone voicings"));
    choose(&|stage| {
        stage.key(Meaning::Arrow(1));
        stage.key(Meaning::Arrow(1));
        stage.enter();
    });
}

#[test]
fn leaves_turn_by_enter_where_text_is_large() {
    let mut stage = Stage::new(Scene::mixed());
    stage.paper(Paper::new(1280.0, 720.0, 2.0, false));
    stage.reach_plan("17");
    stage.says("A · Cold voicings");
    stage.says_not("Begin");
    stage.enter();
    stage.says_not("A · Cold voicings");
    stage.point("Earlier");
    stage.says("A · Cold voicings");
    stage.reach_items();
    assert!(matches!(stage.kiosk.screen, Screen::Seat(_)));
}

#[test]
fn who_is_in_pain_stops_and_may_come_again() {
    let mut stage = Stage::new(short().roster(2));
    stage.enter();
    stage.point("3102");
    stage.pass(60);
    stage.enter();
    stage.key(Meaning::Function(10));
    stage.says("Do you want to stop?");
    stage.says("the sitting is void, not failed");
    stage.enter();
    stage.says("Section E · Spelling");
    stage.key(Meaning::Function(10));
    stage.tab_to("My hands or ears hurt");
    stage.pass(60);
    stage.says("The sitting is void, not failed");
    stage.says("You can sit another form when you are well.");
    stage.says_not("0 of 100");
    stage.enter();
    stage.enter();
    stage.says_not("handed in");
}

#[test]
fn marks_that_are_not_shown_are_thanked_for() {
    let hidden = short().with("[rules]", "[rules]\nshow_marks = false");
    let mut stage = Stage::new(hidden.clone());
    stage.reach_free_plan("17");
    stage.enter();
    stage.sit_until(|kiosk| matches!(kiosk.screen, Screen::End(_)));
    stage.says("Thank you");
    stage.says("Your examiner has the result.");
    stage.says_not("marks;");

    let mut stage = Stage::new(hidden);
    stage.reach_free_plan("17");
    stage.enter();
    stage.key(Meaning::Function(10));
    stage.point("I want to hand in as it is");
    stage.pass(60);
    stage.says("The sitting was stopped");
    stage.says("what was not reached brings nothing");
}

#[test]
fn a_whole_sitting_tells_what_to_practise() {
    let mut stage = Stage::new(Scene::mixed());
    stage.reach_sitting("17");
    stage.sit_until(|kiosk| match &kiosk.screen {
        Screen::Seat(seat) => matches!(seat.phase, Phase::Rest(_)),
        _ => false,
    });
    stage.says("Take a rest");
    stage.says("0:30");
    stage.says("section B · Shells with the pedal");
    stage.sit_until(|kiosk| matches!(kiosk.screen, Screen::End(_)));
    stage.says("Not yet");
    stage.says("hurdle of 20 passed");
    stage.says("awaits a person’s mark");
    stage.says("A person’s marks are awaited: the total is not final.");
    stage.says("when they come cold.");
    stage.says("by ear: ");
    stage.says("The true mark lies between");
}

#[test]
fn it_speaks_german() {
    let mut stage = Stage::new(Scene {
        words: &GERMAN,
        ..short().roster(3)
    });
    stage.says("Übungsprüfung für Jazzklavier");
    stage.says("Ein Teil, etwa eine Minute, hundert Punkte");
    stage.enter();
    stage.says("Tipp die vier Ziffern von deinem Zettel");
    stage.types("9");
    stage.enter();
    stage.says("9 steht nicht auf der Liste");
    stage.types("3101");
    stage.enter();
    stage.pass(60);
    stage.says("Der Plan der Prüfung");
    stage.says("3 Akkorde, je zwanzig Sekunden");
    stage.enter();
    stage.sit_until(|kiosk| matches!(kiosk.screen, Screen::End(_)));
    stage.says("0 von 100 Punkten; bestanden ist ab 60");
    stage.says("Der Standardfehler ist mindestens eine halbe Aufgabe.");
}

#[test]
fn a_standard_for_each_answer_is_said_before_and_after() {
    let scene = Scene {
        scripts: vec![super::stage::script(
            "tests/fixtures/scripts/good/standard.toml",
        )],
        ..Scene::mixed()
    };
    let scene = scene.with("each = 6", "each = 8");
    let mut stage = Stage::new(scene.with("feedback = true", "timing = \"-\""));
    stage.reach_check("17");
    for _ in 0..9 {
        if matches!(stage.kiosk.screen, Screen::Check(_)) {
            stage.enter();
            stage.pass(60);
        }
    }
    stage.says("8 of 8 of each quality and 4 of 6 of each answer");
    super::look::keep("standard-plan", &stage);
    stage.enter();
    stage.sit_until(|kiosk| match &kiosk.screen {
        Screen::Seat(seat) => matches!(seat.phase, Phase::Page(Some(1))),
        _ => false,
    });
    stage.says("8 of 8 of each quality needed");
    super::look::keep("standard-section", &stage);
    stage.sit_until(|kiosk| matches!(kiosk.screen, Screen::End(_)));
    stage.says("4 of 6 of each answer: reached");
    stage.says("8 of 8 of each quality: not reached for 7 (");
    super::look::keep("standard-end", &stage);
}

#[test]
fn over_a_bass_the_page_says_so_and_the_sound_is_checked() {
    for (words, voicing, run) in [
        (
            &ENGLISH,
            "The bass plays the root.",
            "The bass plays the roots.",
        ),
        (
            &GERMAN,
            "Der Bass spielt den Grundton.",
            "Der Bass spielt die Grundtöne.",
        ),
    ] {
        let mut stage = Stage::new(Scene {
            scripts: vec![super::stage::script("exams/one-hand.toml")],
            words,
            ..Scene::mixed()
        });
        stage.reach_sitting("17");
        let is = |kiosk: &Kiosk, kind: &str| match &kiosk.screen {
            Screen::Seat(seat) => {
                matches!(seat.phase, Phase::Item(_))
                    && seat.item().is_some_and(|item| {
                        item.task.word() == kind && (kind == "voicing" || item.task.has_bass())
                    })
            }
            _ => false,
        };
        stage.sit_until(|kiosk| is(kiosk, "voicing"));
        stage.says(voicing);
        super::look::keep(&format!("bass-voicing-{}", words.language), &stage);
        stage.sit_until(|kiosk| is(kiosk, "run"));
        stage.says(run);
        super::look::keep(&format!("bass-run-{}", words.language), &stage);
    }
}

#[test]
fn only_the_tones_that_are_asked_have_a_place() {
    let mut stage = Stage::new(Scene {
        scripts: vec![script("exams/spelling.toml")],
        ..Scene::mixed()
    });
    stage.reach_free_plan("17");
    stage.enter();
    stage.sit_until(|kiosk| match &kiosk.screen {
        Screen::Seat(seat) => seat
            .item()
            .is_some_and(|item| item.prompt.contains("7: its root, third and seventh")),
        _ => false,
    });
    stage.says("Its root, third and seventh, letter and accidental");
    stage.says_not("fifth");
    super::look::keep("spelling-tones", &stage);
}

//! Which inputs a room is played on.

use super::*;

fn inputs(all: &[(&str, &str)]) -> Vec<Input> {
    all.iter().map(|(id, name)| Input::new(*id, name)).collect()
}

fn named(name: &str) -> Preference {
    Preference {
        name: Some(name.to_owned()),
        ..Preference::default()
    }
}

fn check(preference: &Preference, all: &[(&str, &str)], expected: &[usize]) {
    assert_eq!(
        preference.choose(&inputs(all), None),
        expected,
        "{preference:?} among {all:?}"
    );
}

const LOOP: (&str, &str) = ("14:0", "Midi Through:Midi Through Port-0 14:0");

#[test]
fn the_address_after_a_name_is_left_out() {
    let check = |name: &str, expected: &str| assert_eq!(Input::new("1", name).name, expected);
    check("Stage:Stage MIDI 1 20:0", "Stage:Stage MIDI 1");
    check("Stage MIDI 1", "Stage MIDI 1");
    check("keys:out", "keys:out");
    check("a 1:b", "a 1:b");
    check("20:0", "20:0");
    check("", "");
    check("x :", "x :");
}

#[test]
fn without_a_wish_the_only_instrument_is_played() {
    let any = Preference::default();
    check(&any, &[], &[]);
    check(&any, &[("a", "Stage")], &[0]);
    check(&any, &[LOOP, ("a", "Stage")], &[1]);
    check(&any, &[LOOP], &[]);
    check(&any, &[("a", "Stage"), ("b", "Upright")], &[]);
}

#[test]
fn a_name_chooses_and_waits() {
    let all = [
        ("a", "Stage"),
        ("b", "Upright MIDI 1"),
        ("c", "Upright MIDI 2"),
    ];
    check(&named("stage"), &all, &[0]);
    check(&named("UPRIGHT MIDI 2"), &all, &[2]);
    check(&named("MIDI 2"), &all, &[2]);
    check(&named("Upright"), &all, &[]);
    check(&named("Grand"), &all, &[]);
    check(&named("Upright MIDI 1 24:0"), &all, &[1]);
    check(&named("Midi Through"), &[LOOP], &[0]);
    check(&named(" "), &all[..1], &[0]);
}

#[test]
fn an_id_tells_namesakes_apart_but_never_takes_a_stranger() {
    let by = |id: &str, name: Option<&str>| Preference {
        id: Some(id.to_owned()),
        name: name.map(str::to_owned),
        ..Preference::default()
    };
    let all = [("20:0", "Stage"), ("24:0", "Stage"), ("28:0", "Upright")];
    check(&by("24:0", Some("Stage")), &all, &[1]);
    check(&by("28:0", Some("Stage")), &all, &[0]);
    check(&by("28:0", None), &all, &[2]);
    check(&by("32:0", None), &all, &[]);
}

#[test]
fn all_that_fit_play_together() {
    let all = [LOOP, ("a", "Stage"), ("b", "Upright 1"), ("c", "Upright 2")];
    let merge = |preference| Preference {
        merge: true,
        ..preference
    };
    check(&merge(Preference::default()), &all, &[1, 2, 3]);
    check(&merge(named("upright")), &all, &[2, 3]);
}

#[test]
fn what_was_played_before_goes_first() {
    let all = inputs(&[("a", "Stage"), ("b", "Upright"), ("c", "Upright")]);
    let choose = |last: &Input| Preference::default().choose(&all, Some(last));
    assert_eq!(choose(&all[0]), [0]);
    assert_eq!(choose(&all[2]), [2]);
    assert_eq!(choose(&Input::new("z", "Upright")), [1]);
    assert_eq!(choose(&Input::new("z", "Grand")), Vec::<usize>::new());
}

//! The words of the verb, in any build.

use super::*;

fn keys(numbers: &[i64]) -> Vec<Key> {
    numbers
        .iter()
        .map(|number| Key::new(*number).unwrap())
        .collect()
}

#[test]
fn long_lines_are_folded_between_words_and_headings_stand_apart() {
    let mut page = Page::default();
    page.head("One");
    page.line(&"word ".repeat(20));
    page.more("a\nname\u{1b}[2J that   came from outside");
    page.head("Two");
    let text = page.take();

    assert_eq!(
        text,
        format!(
            "One\n  {}word\n  {}word\n    a name [2J that came from outside\n\nTwo\n",
            "word ".repeat(16),
            "word ".repeat(2)
        )
    );
    assert_eq!(page.take(), "");
}

#[test]
fn silent_keys_are_told() {
    let check = |silent: &[i64], expected: &str| assert_eq!(range(&keys(silent)), expected);

    check(&[], "all 88 keys sound, A0 to C8 (MIDI 21 to 108)");
    check(&[22], "all 88 keys sound but B♭0");
    check(
        &[21, 22, 108],
        "3 of the 88 keys stay silent, between A0 and C8; choose a SoundFont that has all that \
         the exam asks for",
    );
}

#[test]
fn a_soundfont_that_cannot_be_used_is_told_beside_the_one_that_serves() {
    let mut room = Opened::default();
    room.settings.sound.soundfont = Some("nowhere.sf2".to_owned());
    let mut page = Page::default();
    piano(&mut page, &room.piano().unwrap());

    assert_eq!(
        page.take(),
        "Piano\n  The bundled grand piano: all 88 keys sound, A0 to C8 (MIDI 21 to 108).\n  The \
         SoundFont of the settings cannot be used, so this one serves in its place:\n    \
         nowhere.sf2: expected a file, found nothing of this name; check the spelling\n"
    );
}

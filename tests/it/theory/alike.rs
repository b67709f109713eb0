//! Chords with the same notes are never offered together in a dictation unless the bass decides.

use viva_voicing::exam::read;
use viva_voicing::theory::symbol;

use super::table;

/// Numerals by semitones above the tonic.
const NUMERALS: [&str; 12] = [
    "I", "bII", "II", "bIII", "III", "IV", "#IV", "V", "bVI", "VI", "bVII", "VII",
];

/// What is found in a dictation of four chords with a set of qualities offered.
fn found(bars: [&str; 4], qualities: &[&str]) -> Vec<String> {
    let options: Vec<String> = qualities.iter().map(|text| format!("{text:?}")).collect();
    let script = format!(
        "title = \"Alike\"\n[rules]\nfeedback = true\n[[progression]]\nname = \"four\"\n\
         bars = {bars:?}\n[[section]]\nid = \"A\"\ntitle = \"Four\"\nkind = \"ear\"\n\
         ask = \"dictation\"\npoints = 5\nseconds = 30\n\
         options = [[\"I\", \"II\", \"bII\", \"bIII\", \"III\", \"IV\", \"#IV\", \"V\", \"bVI\", \
         \"VI\", \"bVII\", \"VII\"], [{}]]\ncells = [{{ count = 1, progression = \"four\" }}]\n",
        options.join(", ")
    );
    let (_, found) = read::read(&script, "alike");

    found.into_iter().map(|of| of.message).collect()
}

// Source: computed from the pitch classes of mir_eval 0.8.2 (Harte et al. 2005 syntax).
#[test]
fn chords_of_the_reference_table_are_refused_where_the_bass_does_not_decide() {
    let mut refused = 0;

    for row in table("pcset_collisions", 10) {
        let (a, b) = (row.get("quality_a"), row.get("quality_b"));
        let above: usize = row.number::<u8>("root_b_minus_root_a_semitones").into();
        let written = |name: &str| match name {
            "sus4(b7,9)" => "9sus4".to_owned(),
            "6/9" => "6/9".to_owned(),
            other => other.to_owned(),
        };
        let (a, b) = (written(a), written(b));
        if a == b || symbol::parse_quality(&a).is_err() || symbol::parse_quality(&b).is_err() {
            continue;
        }
        let upright = format!("I{a}");
        let turned = format!("I{a}/{}", NUMERALS[above]);
        let others = [&a, &b].map(|name| format!("IV{name}"));
        let qualities = [a.as_str(), b.as_str()];

        // Over their roots the bass decides.
        let fine = found([&upright, &others[0], &others[1], &upright], &qualities);
        assert!(
            fine.iter().all(|message| !message.contains("notes")),
            "{fine:?}"
        );
        // Over the other's root nobody can tell.
        let not = found([&turned, &others[0], &others[1], &upright], &qualities);
        let told = format!("chord 1 of `four` has the notes of `{b}` too");
        assert!(
            not.iter().any(|message| message.starts_with(&told)),
            "{a} and {b}: {not:?}"
        );
        refused += 1;
    }

    assert!(refused >= 3, "{refused}");
}

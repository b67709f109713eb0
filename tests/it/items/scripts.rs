//! Short exams with one section each, for the pages of items.

/// A section of cold voicings with widest symbols.
pub(crate) const VOICING: &str = r#"title = "Cold voicings"
kind = "voicing"
seconds = 6
form = "guide-tones"
cells = [{ count = 3, quality = "7", order = "seventh on top" }]"#;

/// The same with the widest symbol that the page design names.
pub(crate) const WIDE: &str = r#"title = "Altered dominants in the keys with the longest names of all the sections here"
kind = "voicing"
seconds = 6
form = "guide-tones"
cells = [{ count = 2, quality = "7(b9#11b13)", order = "seventh on top" }]"#;

/// A run in tempo.
pub(crate) const TEMPO: &str = r#"title = "ii–V–I in four keys"
kind = "run"
form = "guide-tones"
tempo = 120
bars_in = 2
look = 2
cells = [{ count = 2, progression = "ii-V-I" }]"#;

/// Twelve bars in tempo.
pub(crate) const LONG: &str = r#"title = "Round the cycle"
kind = "run"
form = "guide-tones"
tempo = 200
bars_in = 1
look = 1
cells = [{ progression = "cycle-of-fourths", quality = "m7b5", start = "third on top" }]"#;

/// Twelve chords in one's own time.
pub(crate) const FREE: &str = r#"title = "Dominants round the cycle"
kind = "run"
form = "guide-tones"
seconds = 6
cells = [{ progression = "cycle-of-fourths", quality = "7", start = "third on top" }]"#;

/// Five qualities to hear.
pub(crate) const EAR: &str = r#"title = "Listening"
kind = "ear"
ask = "quality"
seconds = 10
hearings = 2
options = ["maj7", "7", "m7", "m7b5", "dim7"]
cells = [{ count = 1, quality = "maj7" }, { count = 1, quality = "m7b5" }, { count = 1, quality = "7" }]"#;

/// Two parts.
pub(crate) const PARTS: &str = r#"title = "Quality and the note in the bass"
kind = "ear"
ask = ["quality", "inversion"]
seconds = 14
hearings = 3
cells = [
    { count = 2, quality = "maj7", bass = 1 }, { count = 2, quality = "maj7", bass = 3 },
    { count = 2, quality = "m7b5", bass = 5 }, { count = 2, quality = "m7b5", bass = 7 },
    { count = 2, quality = "7", bass = 7 }, { count = 2, quality = "m7", bass = 7 },
]"#;

/// Twelve intervals.
pub(crate) const TWELVE: &str = r#"title = "Intervals"
kind = "ear"
ask = "interval"
seconds = 6
hearings = 1
cells = [
    { count = 1, interval = "m2" }, { count = 1, interval = "M2" }, { count = 1, interval = "m3" },
    { count = 1, interval = "M3" }, { count = 1, interval = "P4" }, { count = 1, interval = "TT" },
    { count = 1, interval = "P5" }, { count = 1, interval = "m6" }, { count = 1, interval = "M6" },
    { count = 1, interval = "m7" }, { count = 1, interval = "M7" }, { count = 1, interval = "P8" },
]"#;

/// A dictation of eight chords, all basses and six qualities.
pub(crate) const DICTATION: &str = r##"title = "Dictation of eight chords"
kind = "ear"
ask = "dictation"
seconds = 75
hearings = 4
options = [
    ["I", "bII", "II", "bIII", "III", "IV", "#IV", "V", "bVI", "VI", "bVII", "VII"],
    ["maj7", "7", "m7", "m6", "m7b5", "dim7"],
]
cells = [{ count = 1, progression = "eight" }, { count = 1, progression = "other" }]
[[progression]]
name = "eight"
bars = ["Imaj7 #Idim7", "IIm7 #IIdim7", "IIIm7 VIm7", "IIm7b5 V7"]
[[progression]]
name = "other"
bars = ["Imaj7 VIm7", "IVmaj7 IVm6", "IIIm7 VI7", "IIm7 V7"]"##;

/// Motives, a chord and a line to play back.
pub(crate) const BACK: &str = r#"title = "Play back what you hear"
kind = "ear"
ask = "play-back"
seconds = 12
hearings = 2
cells = [
    { count = 2, motive = "1 b3 4 5 8" },
    { count = 1, quality = "maj7", spacing = "open" },
    { count = 1, progression = "V-I", form = "rootless" },
]"#;

/// Chords of four and of five notes to spell.
pub(crate) const SPELL: &str = r#"title = "Spelling"
kind = "spell"
seconds = 20
cells = [{ count = 2, quality = "7" }]"#;

/// See [`SPELL`].
pub(crate) const FIVE: &str = r#"title = "Spelling"
kind = "spell"
seconds = 20
cells = [{ count = 2, quality = "7(b9)" }]"#;

/// An exam of one section.
pub(crate) fn graded(section: &str) -> String {
    exam("", section)
}

/// The same as practice.
pub(crate) fn practice(section: &str) -> String {
    exam("feedback = true", section)
}

fn exam(rules: &str, section: &str) -> String {
    format!(
        "title = \"Guide tones\"\nlevel = \"class\"\nedition = \"1\"\n[rules]\n\
         timing = \"In time is what is examined.\"\nwarm_ups = 0\nreserve = 10\nseats = 1\n\
         time_factor = [1.0, 10.0]\n{rules}\n[[section]]\nid = \"A\"\npoints = 10\ngap = 1\n\
         {section}\n"
    )
}

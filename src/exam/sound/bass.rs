//! The bass that sounds under what hands play: the root, or what stands below the slash.

use super::{RELEASE, Sound, Strike, VELOCITY};
use crate::exam::form::RunTask;
use crate::theory::Chord;
use crate::time::Time;

/// The lowest of its keys, C2; the highest is B2, an octave below the usual bass of what is heard.
const LOWEST: u8 = 36;
/// The longest that a bass under a single voicing is held: then a string has died away.
const LONGEST: Time = Time::from_ms(8000);

/// Returns the key that sounds under a chord, C2 to B2.
pub fn bass_key(chord: Chord) -> u8 {
    LOWEST + chord.bass.unwrap_or(chord.root).class()
}

/// Returns the bass under a single voicing: held for its limit, eight seconds at most.
pub fn bass(chord: Chord, limit: Time) -> Sound {
    let held = limit.min(LONGEST);

    Sound {
        strikes: vec![strike(chord, Time::ZERO, held)],
        length: held + RELEASE,
        rove: 0,
    }
}

/// Returns the bass under a run in tempo, from its first beat on, under a time factor in hundredths:
/// a note for each chord, held until the next. Nothing under any other run.
pub fn backing(task: &RunTask, factor: u32) -> Option<Sound> {
    let timing = task.timing(factor);
    let first = *timing.beats.first().filter(|_| task.with_bass)?;
    let ends = timing.beats.iter().skip(1).chain([&timing.end]);

    Some(Sound {
        strikes: task
            .chords
            .iter()
            .zip(timing.beats.iter().zip(ends))
            .map(|(placed, (from, to))| strike(placed.chord, *from - first, *to - *from))
            .collect(),
        length: timing.end - first + RELEASE,
        rove: 0,
    })
}

fn strike(chord: Chord, at: Time, held: Time) -> Strike {
    Strike {
        at,
        held,
        keys: vec![(bass_key(chord), VELOCITY)],
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exam::code::Code;
    use crate::exam::form::Task;
    use crate::exam::{draw, read};
    use crate::theory::symbol;

    #[test]
    fn the_root_or_the_bass_below_the_slash_sounds_from_c2_to_b2() {
        for (text, key) in [
            ("Cmaj7", 36),
            ("B7", 47),
            ("Ab7", 44),
            ("G#m7", 44),
            ("Cb7", 47),
            ("D7/F#", 42),
            ("Fmaj7/C", 36),
        ] {
            assert_eq!(bass_key(symbol::parse(text).unwrap()), key, "{text}");
        }
    }

    #[test]
    fn under_a_voicing_it_is_held_for_the_limit_and_no_longer_than_a_string() {
        let chord = symbol::parse("F7").unwrap();
        for (limit, held) in [(4000, 4000), (30_000, 8000)] {
            let sound = bass(chord, Time::from_ms(limit));
            assert_eq!(sound.strikes[0].held, Time::from_ms(held));
            assert_eq!(sound.length, Time::from_ms(held + 500));
        }
    }

    /// Two chords a bar at 60: the beats are two seconds apart, and three with a factor of 1.5.
    #[test]
    fn under_a_run_each_chord_has_its_bass_on_its_beat() {
        let script = "title = \"Run\"\n[rules]\nfeedback = true\nseats = 1\n[[progression]]\n\
                      name = \"two-a-bar\"\nbars = [\"Dm7 G7\", \"Cmaj7/E\"]\n[[section]]\n\
                      id = \"A\"\ntitle = \"A\"\nkind = \"run\"\npoints = 10\n\
                      voicing = \"any\"\ntempo = 60\nbars_in = 1\nlook = 3\nwith_bass = true\n\
                      cells = [{ progression = \"two-a-bar\" }]\n";
        let (exam, found) = read::read(script, "run");
        let exam = exam.unwrap_or_else(|| panic!("{found:#?}"));
        let form = draw::draw(&exam, Code::FIRST).unwrap();
        let Task::Run(task) = &form.items[0].task else {
            panic!("a run is asked");
        };

        for (factor, beat) in [(100, 2000), (150, 3000)] {
            let sound = backing(task, factor).unwrap();
            let found: Vec<(i64, i64, u8)> = sound
                .strikes
                .iter()
                .map(|of| (of.at.tenths() / 10, of.held.tenths() / 10, of.keys[0].0))
                .collect();
            assert_eq!(
                found,
                [(0, beat, 38), (beat, beat, 43), (2 * beat, 2 * beat, 40)],
                "{factor}"
            );
            assert_eq!(sound.length, Time::from_ms(4 * beat + 500));
        }
        let without = RunTask {
            with_bass: false,
            ..(**task).clone()
        };
        assert_eq!(backing(&without, 100), None);
    }
}

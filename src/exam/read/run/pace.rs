//! How a run goes: in tempo or free, and whether there is time for it.

use crate::exam::read::scope::Scope;
use crate::exam::read::{count, seconds};
use crate::exam::script::{Line, Pace};
use crate::exam::table::{Spanned, Table, Within, clip};
use crate::time::Time;

/// The keys that say how a run goes, in a cell or for its whole section.
#[derive(Clone, Default)]
pub(super) struct Keys {
    pub(super) tempo: Option<Spanned<u32>>,
    pub(super) bars_in: Option<Spanned<u32>>,
    metronome: Option<bool>,
    /// `with_bass`: whether a bass sounds the root of each chord, or what stands below its slash,
    /// on its beat, from C2 to B2; default false.
    with_bass: Option<Spanned<bool>>,
    look: Option<Time>,
    pub(super) seconds: Option<Spanned<Time>>,
    /// Whether one of them could not be read, and has been told.
    told: bool,
}

impl Keys {
    pub(super) fn read(table: &Table<'_>) -> Self {
        let keys = Self {
            tempo: table
                .number("tempo", Within::from(20.0..=400.0).of("beats a minute"))
                .map(|tempo| tempo.map(|tempo| (tempo * 100.0).round() as u32)),
            bars_in: count(table, "bars_in", 8),
            metronome: table.boolean("metronome").map(|on| on.value),
            with_bass: table.boolean("with_bass"),
            look: seconds(table, "look", 0.0, 600.0).map(|look| look.value),
            seconds: seconds(table, "seconds", 0.5, 3600.0),
            told: false,
        };
        let told = table.has("tempo") && keys.tempo.is_none()
            || table.has("seconds") && keys.seconds.is_none();

        Self { told, ..keys }
    }

    /// The cell's keys, and the section's where the cell says nothing; the cell's pace rules.
    pub(super) fn over(self, section: &Self) -> Self {
        let own_pace = self.tempo.is_some() || self.seconds.is_some();

        Self {
            tempo: self
                .tempo
                .or_else(|| section.tempo.clone().filter(|_| !own_pace)),
            bars_in: self.bars_in.or_else(|| section.bars_in.clone()),
            metronome: self.metronome.or(section.metronome),
            with_bass: self.with_bass.or_else(|| section.with_bass.clone()),
            look: self.look.or(section.look),
            seconds: self
                .seconds
                .or_else(|| section.seconds.clone().filter(|_| !own_pace)),
            told: self.told || section.told && !own_pace,
        }
    }
}

/// Says how a run goes, and whether a bass plays along, unless that makes no sense.
pub(super) fn pace(
    keys: Keys,
    line: Option<&Spanned<Line>>,
    cell: &Table<'_>,
    scope: &Scope<'_>,
) -> Option<(Pace, bool)> {
    let look = keys.look.unwrap_or(Time::ZERO);
    let with_bass = keys.with_bass.as_ref().is_some_and(|bass| bass.value);

    if keys.told {
        return None;
    }
    let Some(tempo) = keys.tempo else {
        let Some(limit) = keys.seconds else {
            scope.out.fault(
                cell.span(),
                "a run needs `tempo` (in tempo) or `seconds` (for each chord, in the candidate's own time)",
                Some("write for example `tempo = 80` or `seconds = 6`".to_owned()),
            );
            return None;
        };
        if with_bass && let Some(bass) = keys.with_bass {
            scope.out.fault(
                bass.span,
                "a run in the candidate's own time has no beats for a bass to play on",
                Some("write `tempo`, or `with_bass = false` in the cells without one".to_owned()),
            );
            return None;
        }
        return Some((
            Pace::Free {
                limit: limit.value,
                look,
            },
            false,
        ));
    };
    let bars_in = keys.bars_in.map_or(2, |bars| bars.value);

    if let Some(line) = line {
        in_time(&line.value, &tempo, scope);
        if let Some(limit) = keys.seconds {
            long_enough(&line.value, (tempo.value, bars_in, look), &limit, scope);
        }
    }

    Some((
        Pace::Tempo {
            tempo: tempo.value,
            bars_in,
            metronome: keys.metronome.unwrap_or(true),
            look,
        },
        with_bass,
    ))
}

/// Tells of chords that are too short for the hands.
fn in_time(line: &Line, tempo: &Spanned<u32>, scope: &Scope<'_>) {
    /// Shorter than this nobody plays a chord that has to be found, in seconds.
    const SHORTEST: f64 = 0.5;
    /// Shorter than this a chord is a feat, in seconds: half a bar at 120.
    const SHORT: f64 = 1.0;

    let beat = 6000.0 / f64::from(tempo.value);
    let placed = scope.fits.met(line).placed;
    let shortest = placed.iter().map(|chord| chord.twelfths).min();
    let lasts = f64::from(shortest.unwrap_or(12)) / 3.0 * beat;
    let name = line.name();

    if lasts < SHORTEST {
        scope.out.fault(
            tempo.span.clone(),
            format!(
                "a chord of `{}` lasts {lasts:.2} s at this tempo, which nobody can play",
                clip(name)
            ),
            Some("lower the tempo, or write fewer chords to the bar".to_owned()),
        );
    } else if lasts < SHORT {
        scope.out.warning(
            tempo.span.clone(),
            format!(
                "a chord of `{}` lasts {lasts:.2} s at this tempo",
                clip(name)
            ),
            Some("one chord a bar at 200 beats a minute lasts 1.2 s".to_owned()),
        );
    }
}

/// Tells of a time for the whole run that ends before its last chord.
fn long_enough(
    line: &Line,
    (tempo, bars_in, look): (u32, u32, Time),
    limit: &Spanned<Time>,
    scope: &Scope<'_>,
) {
    let placed = scope.fits.met(line).placed;
    let twelfths = placed
        .last()
        .map_or(12, |last| last.at_twelfths + last.twelfths);
    let beats = f64::from(twelfths) / 3.0 + f64::from(bars_in) * 4.0;
    let needed = look.as_seconds() + beats * 6000.0 / f64::from(tempo);

    if limit.value.as_seconds() < needed {
        scope.out.fault(
            limit.span.clone(),
            format!(
                "the time is too short for the tempo: look, count-in and {} chords need {needed:.1} s",
                placed.len()
            ),
            Some("leave `seconds` out, or raise the tempo".to_owned()),
        );
    }
}

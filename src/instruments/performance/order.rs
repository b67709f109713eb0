//! Puts the events of all tracks into one order, and checks that the items count upwards.

use std::collections::BTreeMap;

use super::clock::Clock;
use super::notes::Notes;
use super::{Error, Event, Kind, LONGEST};
use crate::time::Time;

/// An event as it stands in its track.
#[derive(Debug)]
pub(super) struct Kept {
    /// Ticks since the start of the file.
    pub(super) tick: u64,
    /// The track, from 1.
    pub(super) track: u32,
    /// Whether it comes early or late among events of the same time.
    rank: Rank,
    /// What happens.
    kind: Kind,
}

/// The order at the same tenth of a millisecond, as the parent module promises it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Rank {
    Marker,
    Up,
    Down,
    Text,
}

impl Kept {
    /// Keeps an event.
    pub(super) fn new(tick: u64, track: u32, kind: Kind) -> Self {
        let rank = match kind {
            Kind::Item(_) => Rank::Marker,
            Kind::Up { .. } => Rank::Up,
            Kind::Down { .. } | Kind::Pedal { .. } => Rank::Down,
            Kind::Answer(_)
            | Kind::Hear
            | Kind::Sounded
            | Kind::Added(_)
            | Kind::Void(_)
            | Kind::Stop(_) => Rank::Text,
        };

        Self {
            tick,
            track,
            rank,
            kind,
        }
    }
}

/// Orders events that are given track after track, each track in its own order.
pub(super) fn arrange(mut kept: Vec<Kept>, clock: &Clock) -> Result<Vec<Event>, Error> {
    // The time takes the place of the tick, so that a million events are held once.
    for one in &mut kept {
        let time = clock.at(one.tick, LONGEST);
        let time = time.map_err(|hours| Error::TooLong {
            track: one.track,
            hours,
        })?;
        one.tick = time.tenths().unsigned_abs();
    }

    for group in kept.chunk_by_mut(|a, b| (a.track, a.tick) == (b.track, b.tick)) {
        rank(group);
    }

    kept.sort_by_key(|one| (one.tick, one.rank));

    Ok(kept
        .into_iter()
        .map(|one| Event {
            at: Time::from_tenths(one.tick.cast_signed()),
            kind: one.kind,
        })
        .collect())
}

/// Ranks what stands in one track at one time, so that sorting by rank moves nothing but markers,
/// and texts before them, to the front.
fn rank(group: &mut [Kept]) {
    let after = group
        .iter()
        .rposition(|one| one.rank == Rank::Marker)
        .map_or(0, |last| last + 1);
    let mut highest = Rank::Up;

    for (index, one) in group.iter_mut().enumerate() {
        if index < after && matches!(one.rank, Rank::Marker | Rank::Text) {
            one.rank = Rank::Marker;
        } else {
            highest = highest.max(one.rank);
            one.rank = highest;
        }
    }
}

/// Checks that items count upwards, each once.
///
/// Any number may follow where one was voided, and at the start of a file that goes `on` with a
/// sitting: a spare item has a number beyond the last. What comes next tells whether it was one.
pub(super) fn check_items(events: &[Event], on: bool, notes: &mut Notes) -> Result<(), Error> {
    let mut last: Option<(u32, Time)> = None;
    // What came where any number may come, since the last in its turn.
    let mut between: Vec<(u32, Time)> = Vec::new();
    let mut spares: BTreeMap<u32, Time> = BTreeMap::new();
    let mut free = on;
    let mut any = false;

    for event in events {
        let at = event.at;
        let number = match event.kind {
            Kind::Item(number) => number,
            Kind::Void(_) => {
                free = true;
                continue;
            }
            _ => continue,
        };
        any = true;

        if let Some(&first) = spares.get(&number) {
            return Err(Error::Twice { number, at, first });
        }
        if std::mem::take(&mut free) {
            between.push((number, at));
            continue;
        }
        let open = between.last().copied().or(last);
        if let Some((_, first)) = open.filter(|(open, _)| *open == number) {
            return Err(Error::Twice { number, at, first });
        }
        // Those below this number came in their turn, and no spare one was needed.
        if let Some((spare, shown)) = between.last().filter(|(spare, _)| *spare > number) {
            let _ = spares.insert(*spare, *shown);
        }
        between.sort_unstable();
        for (before, shown) in between.drain(..).filter(|(before, _)| *before < number) {
            if last.is_none_or(|(last, _)| last < before) {
                skipped(last, before, on, notes);
                last = Some((before, shown));
            }
        }
        if let Some((before, before_at)) = last.filter(|(before, _)| *before > number) {
            return Err(Error::Order {
                number,
                at,
                before,
                before_at,
            });
        }
        skipped(last, number, on, notes);
        last = Some((number, at));
    }

    if any { Ok(()) } else { Err(Error::NoItem) }
}

/// Notes the items between two markers.
fn skipped(last: Option<(u32, Time)>, number: u32, on: bool, notes: &mut Notes) {
    let before = match last {
        Some((before, _)) => before,
        // A file that goes on begins anywhere.
        None if on => return,
        None => 0,
    };

    if number > before + 1 {
        notes.push(|| match number - before {
            2 => format!("item {} has no marker", before + 1),
            _ => format!("items {} to {} have no marker", before + 1, number - 1),
        });
    }
}

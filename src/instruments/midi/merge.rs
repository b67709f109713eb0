//! From messages and notices to the events of one keyboard, in the room's time.

use std::time::{Duration, Instant};

use super::super::keyboard::decoder::Decoder;
use super::super::keyboard::{Event, Fact, Preference, Touch};
use super::follow::{Notice, What};
use super::queue::{Message, Source};
use crate::time::Time;

/// Joins the instruments that are open.
#[derive(Debug)]
pub(super) struct Merge {
    channel: Option<u8>,
    transpose: i8,
    open: Vec<Open>,
    /// Messages of instruments that have not been told of yet.
    early: Vec<Message>,
    /// The newest instrument told of.
    newest: Source,
    /// Strikes out of range on instruments that are closed.
    out_of_range: u64,
    last: Option<Time>,
    clock: Option<Clock>,
}

/// The room's time at some moment.
#[derive(Debug, Clone, Copy)]
struct Clock {
    moment: Instant,
    room: Time,
}

impl Clock {
    /// A room whose time was read some while before it was handed over seems to be behind: the
    /// one furthest ahead is right, lest all keys afterwards seem to be struck too early.
    fn corrected(self, now: Time, polled: Instant) -> Self {
        let behind = now - self.room(polled);

        Self {
            room: self.room + behind.max(Time::ZERO),
            ..self
        }
    }

    fn room(self, moment: Instant) -> Time {
        let tenths = |span: Duration| {
            Time::from_tenths(i64::try_from(span.as_micros() / 100).unwrap_or(i64::MAX))
        };

        match moment.checked_duration_since(self.moment) {
            Some(after) => self.room + tenths(after),
            None => self.room - tenths(self.moment - moment),
        }
    }
}

/// An instrument that is open.
#[derive(Debug)]
struct Open {
    source: Source,
    name: String,
    decoder: Decoder,
    silent: bool,
}

/// What is to be worked through, in order of its moment.
enum Item {
    Notice(What),
    Message(Message),
}

impl Merge {
    pub(super) const fn new(preference: &Preference) -> Self {
        Self {
            channel: preference.channel,
            transpose: preference.transpose,
            open: Vec::new(),
            early: Vec::new(),
            newest: 0,
            out_of_range: 0,
            last: None,
            clock: None,
        }
    }

    /// Works through what has come, `now` being the room's time at `polled`.
    pub(super) fn take(
        &mut self,
        now: Time,
        polled: Instant,
        messages: Vec<Message>,
        missed: u64,
        notices: Vec<Notice>,
    ) -> Vec<Event> {
        let clock = *self.clock.get_or_insert(Clock {
            moment: polled,
            room: now,
        });
        let clock = clock.corrected(now, polled);
        self.clock = Some(clock);
        let notices = notices
            .into_iter()
            .map(|notice| (notice.at, Item::Notice(notice.what)));
        let messages = std::mem::take(&mut self.early)
            .into_iter()
            .chain(messages)
            .map(|message| (message.arrived, Item::Message(message)));
        let mut items: Vec<_> = notices.chain(messages).collect();
        // Stable, so that each instrument keeps its order.
        items.sort_by_key(|(moment, _)| *moment);

        let mut events = Vec::with_capacity(items.len());
        for (moment, item) in items {
            match item {
                Item::Notice(what) => self.notice(clock.room(moment), what, &mut events),
                Item::Message(message) => self.message(clock.room(moment), message, &mut events),
            }
        }
        if missed > 0 {
            events.push(Event::new(now, Fact::Missed(missed)));
        }
        self.look_for_silence(now, &mut events);

        // Two instruments may cross, since each keeps its driver's time.
        events.sort_by_key(|event| event.at);
        for event in &mut events {
            let at = event.at.min(now);
            event.at = self.last.map_or(at, |last| at.max(last));
            self.last = Some(event.at);
        }

        events
    }

    pub(super) fn names(&self) -> Vec<String> {
        self.open
            .iter()
            .filter(|open| !open.silent)
            .map(|open| open.name.clone())
            .collect()
    }

    pub(super) fn is_there(&self) -> bool {
        self.open.iter().any(|open| !open.silent)
    }

    pub(super) fn out_of_range(&self) -> u64 {
        self.open
            .iter()
            .map(|open| open.decoder.out_of_range())
            .sum::<u64>()
            + self.out_of_range
    }

    fn notice(&mut self, at: Time, what: What, events: &mut Vec<Event>) {
        match what {
            What::Found(source, name) => {
                self.newest = source;
                events.push(Event::new(at, Fact::Found { name: name.clone() }));
                self.open.push(Open {
                    source,
                    name,
                    decoder: Decoder::new(self.channel, self.transpose),
                    silent: false,
                });
            }
            What::Lost(source) => {
                if let Some(place) = self.open.iter().position(|open| open.source == source) {
                    let name = self.open[place].name.clone();
                    events.push(Event::new(at, Fact::Lost { name }));
                    self.release(place, at, events);
                    self.close(place);
                }
            }
            What::ServerGone => {
                events.push(Event::new(at, Fact::ServerGone));
                while !self.open.is_empty() {
                    self.release(0, at, events);
                    self.close(0);
                }
            }
            What::ServerBack => events.push(Event::new(at, Fact::ServerBack)),
        }
    }

    fn message(&mut self, arrived: Time, message: Message, events: &mut Vec<Event>) {
        let place = self
            .open
            .iter()
            .position(|open| open.source == message.source);

        let Some(place) = place else {
            // What comes from an instrument that is closed by now is of no use to anybody.
            if message.source > self.newest {
                self.early.push(message);
            }
            return;
        };

        let open = &mut self.open[place];
        let mut touches = Vec::new();
        open.decoder
            .take(message.driver_us, arrived, message.bytes(), &mut touches);
        if std::mem::take(&mut open.silent) {
            let name = open.name.clone();
            // It is heard again now, whatever its clock says.
            events.push(Event::new(arrived, Fact::Found { name }));
            touches.iter_mut().for_each(|(at, _)| *at = arrived);
        }

        for (at, touch) in touches {
            self.touch(place, at, touch, events);
        }
    }

    /// Passes a touch on; a key comes up when the last instrument lets go of it.
    fn touch(&self, place: usize, at: Time, touch: Touch, events: &mut Vec<Event>) {
        if let Touch::Up { key } = touch
            && self
                .open
                .iter()
                .enumerate()
                .any(|(other, open)| other != place && open.decoder.holds(key))
        {
            return;
        }

        events.push(Event::new(at, Fact::Touched(touch)));
    }

    fn look_for_silence(&mut self, now: Time, events: &mut Vec<Event>) {
        for place in 0..self.open.len() {
            let open = &mut self.open[place];
            if !open.silent && open.decoder.is_silent(now) {
                open.silent = true;
                let name = open.name.clone();
                events.push(Event::new(now, Fact::Silent { name }));
                self.release(place, now, events);
            }
        }
    }

    /// Lets go of all that an instrument holds.
    fn release(&mut self, place: usize, at: Time, events: &mut Vec<Event>) {
        let mut touches = Vec::new();
        self.open[place].decoder.release(&mut touches);

        for touch in touches {
            self.touch(place, at, touch, events);
        }
    }

    fn close(&mut self, place: usize) {
        let open = self.open.remove(place);
        self.out_of_range += open.decoder.out_of_range();
    }
}

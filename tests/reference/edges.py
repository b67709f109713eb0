"""A student who comes within a millisecond of every threshold, on either side."""

from __future__ import annotations

from collections.abc import Callable

from answers import usual
from forms import Item
from gestures import MS
from matching import Keys
from performance import Event
from student import Events, Perfect

Aim = Callable[["Marksman", Item, float, Keys], Events]


class Marksman(Perfect):
    """Aims a millisecond before or after the thresholds in turn."""

    turn = -1

    def side(self) -> int:
        """A millisecond early or late."""
        return self.chance.choice((-1, 1))

    def voicing(self, item: Item) -> Events:
        """The next of the aims."""
        assert item.voicing is not None
        self.kept = []
        if self.turn < 0:
            self.turn = self.chance.randrange(len(AIMS))
        self.turn = (self.turn + 1) % len(AIMS)
        return AIMS[self.turn](self, item, float(item.seconds * 1000), item.voicing.example)

    def in_tempo(self, item: Item) -> Events:
        """Chords at the edges of their slots, and keys let go at the edge of a sounding."""
        assert item.beat_ms is not None and item.end_ms is not None
        early = min(400.0, float(item.beat_ms) / 2)
        starts = [float(chord.at_ms or 0) for chord in item.chords]
        events: Events = []
        held: Keys = ()
        for chord, start in zip(item.chords, starts):
            keys = chord.voicing.example
            aim = self.chance.choice(("beat", "early", "late", "gap", "lift"))
            onset = start + {"early": -early, "late": early}.get(aim, 0.0)
            onset += self.side() if aim in ("early", "late") else 0
            common = [key for key in held if key in keys]
            events += self.lift(onset - 30, common, 0)
            rest = [key for key in held if key not in common]
            last = onset + (200 + self.side() if aim == "gap" else 0)
            events += self.lift(last + 150 + self.side(), rest, 0)
            events += self.press(onset, keys[:-1], 0) + self.press(last, keys[-1:], 0)
            held = keys
            if aim == "lift":
                # A key too many is let go, and the chord after it 150 ms later.
                extra = self.foreign_key(chord.voicing, keys)
                let_go = onset + self.chance.choice((160.0, 0.6 * float(item.beat_ms)))
                events += self.press(onset, [extra], 0) + self.lift(let_go, [extra], 0)
                events += self.lift(let_go + 150 + self.side(), keys, 0)
                held = ()
        return events + self.lift(float(item.end_ms) - 20, held, 0)

    def free(self, item: Item) -> Events:
        """Chords completed at the edge of their time."""
        assert item.chord_seconds is not None
        limit = float(item.chord_seconds * 1000)
        time, events = float(item.look_ms), list[Event]()
        for chord in item.chords:
            time += limit + self.side() if self.chance.random() < 0.4 else 0.4 * limit + self.side()
            events += self.press(time, chord.voicing.example, 0)
            events += self.lift(time + 300, chord.voicing.example, 0)
        return events

    def answer(self, item: Item) -> Events:
        """An answer at the end of the time, with or without another hearing."""
        if item.steps is not None:
            return self.edge_of_back(item, item.steps)
        sound = float(item.sound_ms) if item.kind == "ear" else 0.0
        end = sound + float(item.seconds * 1000)
        events: Events = []
        if item.kind == "ear" and self.chance.random() < 0.5 and item.hearings != 1:
            events.append(Event(round((sound + 1000) * MS), "text", text="hear"))
            end += sound
        said = Event(round((end + self.side()) * MS), "text", text=f"answer {usual(item)}")
        return [*events, said]

    def edge_of_back(self, item: Item, asked: tuple[Keys, ...]) -> Events:
        """Steps 200 ms apart, tries a second apart, keys at the end of the sound and of the time."""
        sound, limit = float(item.sound_ms), float(item.seconds * 1000)
        events: Events = []
        first = sound + self.side()
        for start in (first, first + 1000.0 * len(asked) + 1000 + self.side()):
            for place, keys in enumerate(asked):
                at = start + (200 + self.side()) * place
                events += self.press(at, keys, 0) + self.lift(at + 150, keys, 0)
        last = asked[-1]
        events += self.press(sound + limit + self.side(), last, 0) + self.lift(sound + limit + 80, last, 0)
        return sorted(events, key=lambda event: event.time)


def wrong(keys: Keys) -> Keys:
    """The chord with its highest key a semitone up."""
    return (*keys[:-1], keys[-1] + 1)


def at_the_limits(hand: Marksman, item: Item, limit: float, keys: Keys) -> Events:
    """Onsets at T, one and a half T, and the close."""
    onset = round(hand.chance.choice((1.0, 1.5, 2.0)) * limit) + hand.side()
    return hand.press(onset, keys, 0) + hand.lift(onset + 300, keys, 0)


def at_gathering(hand: Marksman, item: Item, limit: float, keys: Keys) -> Events:
    """A foreign key 80 ms after the match."""
    assert item.voicing is not None
    extra, after = hand.foreign_key(item.voicing, keys), 1080 + hand.side()
    return hand.press(1000, keys, 0) + hand.press(after, [extra], 0) + hand.lift(1500, [*keys, extra], 0)


def at_settling(hand: Marksman, item: Item, limit: float, keys: Keys) -> Events:
    """A match reached by lifting, held for 600 ms."""
    assert item.voicing is not None
    extra = hand.foreign_key(item.voicing, keys)
    return hand.press(1000, [*keys, extra], 0) + hand.lift(1300, [extra], 0) + \
        hand.lift(1900 + hand.side(), keys, 0)


def at_regathering(hand: Marksman, item: Item, limit: float, keys: Keys) -> Events:
    """A correction 200 ms after a chord whose top key is an octave off, so that none is foreign."""
    first, fixed = (*keys[:-1], keys[-1] + 12), 1200 + hand.side()
    events = hand.press(1000, first, 0) + hand.lift(1100, first[-1:], 0)
    return events + hand.press(fixed, keys[-1:], 0) + hand.lift(fixed + 400, keys, 0)


def at_grazing(hand: Marksman, item: Item, limit: float, keys: Keys) -> Events:
    """A foreign key at the edge of a graze, by its length or its velocity."""
    assert item.voicing is not None
    extra = hand.foreign_key(item.voicing, keys)
    by_length = hand.chance.random() < 0.5
    velocity = 19 if by_length else hand.chance.choice((19, 20))
    hold = 80 + hand.side() if by_length else 50
    touch = [hand.strike(700, extra, velocity), hand.release(700 + hold, extra)]
    return touch + hand.press(1500, keys, 0) + hand.lift(2500, keys, 0)


def at_closing(hand: Marksman, item: Item, limit: float, keys: Keys) -> Events:
    """A second chord begun 1.5 s after the first was offered."""
    first, again = wrong(keys), 2800 + hand.side()
    events = hand.press(1000, first, 0) + hand.lift(1300, first, 0)
    return events + hand.press(again, keys, 0) + hand.lift(again + 300, keys, 0)


def at_walking(hand: Marksman, item: Item, limit: float, keys: Keys) -> Events:
    """A neighbour held for 200 ms in passing."""
    step = 5 if keys[-1] < 90 else -5
    before = tuple(key + step for key in keys)
    if set(before) & set(keys):
        return at_settling(hand, item, limit, keys)
    after = 1200 + hand.side()
    events = hand.press(1000, before, 0) + hand.press(after, keys[:1], 0) + hand.lift(after + 30, before, 0)
    return events + hand.press(after + 50, keys[1:], 0) + hand.lift(after + 450, keys, 0)


AIMS: tuple[Aim, ...] = (
    at_the_limits, at_gathering, at_settling, at_regathering, at_grazing, at_closing, at_walking,
)

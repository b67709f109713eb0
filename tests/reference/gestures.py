"""What hands do at a keyboard, as events timed from a prompt."""

from __future__ import annotations

from collections.abc import Iterable
from random import Random

from forms import Voicing
from matching import Keys
from performance import Event

MS = 10
"""Tenths in a millisecond."""


class Hands:
    """Makes events from gestures; times in milliseconds, chance from one seed."""

    def __init__(self, chance: Random) -> None:
        self.chance = chance

    def between(self, low: float, high: float) -> float:
        """A time in whole milliseconds."""
        return float(round(self.chance.uniform(low, high)))

    def strike(self, time: float, key: int, velocity: int | None = None) -> Event:
        """One key struck."""
        loud = self.chance.randint(40, 100) if velocity is None else velocity
        return Event(round(time * MS), "on", key, loud)

    def release(self, time: float, key: int) -> Event:
        """One key let go."""
        return Event(round(time * MS), "off", key)

    def press(self, onset: float, keys: Iterable[int], spread: float | None = None) -> list[Event]:
        """Keys struck together; the last of them at the onset."""
        row = list(keys)
        width = self.between(0, 30) if spread is None else spread
        self.chance.shuffle(row)
        early = sorted((self.between(0, width) for _ in row[1:]), reverse=True)
        return [self.strike(onset - back, key) for back, key in zip([*early, 0.0], row)]

    def roll(self, onset: float, keys: Iterable[int], low: float, high: float) -> list[Event]:
        """Keys struck one after another from the lowest, the last at the onset."""
        row, time, events = sorted(keys, reverse=True), onset, []
        for key in row:
            events.append(self.strike(time, key))
            time -= self.between(low, high)
        return events[::-1]

    def lift(self, time: float, keys: Iterable[int], spread: float | None = None) -> list[Event]:
        """Keys let go, more or less together."""
        width = self.between(0, 40) if spread is None else spread
        return [self.release(time + self.between(0, width), key) for key in keys]

    def tap(self, time: float, keys: Iterable[int], hold: float) -> list[Event]:
        """Keys struck and let go."""
        row = list(keys)
        return self.press(time, row) + self.lift(time + hold, row)

    def graze(self, time: float, key: int) -> list[Event]:
        """A key touched softly and shortly."""
        velocity = self.chance.randint(3, 17)
        touch = [self.strike(time, key, velocity)]
        if self.chance.random() < 0.15:
            # Touched twice, the first release lost.
            time += self.between(20, 180)
            touch.append(self.strike(time, key, velocity))
        return [*touch, self.release(time + self.between(20, 70), key)]

    def foreign_key(self, voicing: Voicing, keys: Keys) -> int:
        """A key near the chord whose pitch class is not in it."""
        near = range(min(keys) - 3, max(keys) + 4)
        return self.chance.choice([key for key in near if key % 12 not in voicing.classes])


def place_of(voicing: Voicing, semitones: set[int]) -> int | None:
    """The place, from the lowest, of the first key of the example so far above the root."""
    for place, key in enumerate(voicing.example):
        if (key - voicing.symbol.root) % 12 in semitones:
            return place
    return None


def fifth_place(voicing: Voicing) -> int | None:
    """The place of the fifth."""
    return place_of(voicing, {6, 7, 8})


def guide_place(voicing: Voicing, chance: Random) -> int | None:
    """The place of the third or of the seventh."""
    symbol = voicing.symbol
    places = [place_of(voicing, {each}) for each in (symbol.third, symbol.seventh) if each is not None]
    known = [place for place in places if place is not None]
    return chance.choice(known) if known else None


def altered(keys: Keys, place: int, step: int) -> Keys:
    """The keys with one of them moved."""
    return tuple(key + step if index == place else key for index, key in enumerate(keys))


def wrong_order(voicing: Voicing, keys: Keys) -> Keys:
    """The lowest key of the right hand, or of the left where it is alone, an octave up."""
    place = len(voicing.hands[0].left) if voicing.hands[0].right else 0
    return tuple(sorted(altered(keys, place, 12)))


def wrong_register(voicing: Voicing, keys: Keys, chance: Random) -> Keys:
    """The right hand, or all, an octave or two off."""
    first = len(voicing.hands[0].left) if voicing.hands[0].right and chance.random() < 0.7 else 0
    step = chance.choice((12, 24)) if keys[first] < 64 else chance.choice((-12, 12))
    return keys[:first] + tuple(key + step for key in keys[first:])


def neighbour(keys: Keys, chance: Random) -> Keys:
    """The same form on a neighbour in the cycle of fourths."""
    step = chance.choice((5, -5, 7, -7))
    moved = tuple(key + step for key in keys)
    return moved if 24 <= moved[0] and moved[-1] <= 105 else tuple(key - step for key in keys)

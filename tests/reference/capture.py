"""What a candidate offers as attempts at a single voicing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from fractions import Fraction
from math import inf

from limits import Limits, tenths
from performance import Event, Note, Window

Held = dict[int, int]
"""The keys down, each with the time of its strike."""


@dataclass(frozen=True)
class Attempt:
    """One chord offered; `rule` is the number of the rule that offered it."""

    keys: tuple[int, ...]
    onset: int
    offered: Fraction | int
    rule: int
    foreign_before: int


@dataclass(frozen=True)
class Past:
    """A set of keys that was held unchanged from `start` to `end`."""

    keys: frozenset[int]
    start: int
    end: Fraction | int


@dataclass
class Captured:
    """All that was observed in one item."""

    attempts: list[Attempt] = field(default_factory=list)
    history: list[Past] = field(default_factory=list)
    foreign: list[tuple[int, int]] = field(default_factory=list)
    grazes: list[Note] = field(default_factory=list)
    closed: Fraction | int = 0


def is_graze(note: Note, classes: frozenset[int], limits: Limits,
             end: Fraction | int | None = None) -> bool:
    """Whether a strike is soft, foreign and short, as the finger held it before the item's end."""
    off = note.off
    if end is not None and (off is None or off > end):
        short = end - note.on < tenths(limits.graze_ms)
    else:
        short = off is not None and off - note.on < tenths(limits.graze_ms)
    return short and note.velocity < limits.graze_velocity and note.key % 12 not in classes


def without_grazes(window: Window, grazes: list[Note]) -> Window:
    """The numbered window without the strikes and releases of its grazes.

    A key that was down already when it was grazed had been let go unseen.
    """
    strikes = {note.place for note in grazes}
    kept: list[Event] = []
    down: set[int] = set()
    dropped: set[int] = set()
    for event in window.events:
        if event.kind == "on" and event.place in strikes:
            dropped.add(event.value)
            if event.value in down:
                down.remove(event.value)
                kept.append(Event(event.time, "off", event.value, place=event.place))
            continue
        if event.kind in ("on", "off"):
            (down.add if event.kind == "on" else down.discard)(event.value)
        if event.kind == "off" and event.value in dropped:
            dropped.remove(event.value)
            continue
        if event.kind == "on":
            dropped.discard(event.value)
        kept.append(event)
    return replace(window, events=kept)


@dataclass(frozen=True)
class Asked:
    """What capture must know of a voicing."""

    accepts: Callable[[frozenset[int]], bool]
    classes: frozenset[int]
    sizes: frozenset[int]

    @property
    def least(self) -> int:
        """The smallest number of keys that can match."""
        return min(self.sizes)


class Capture:
    """The rules of offering, run over the events of one item."""

    def __init__(self, asked: Asked, limits: Limits, close_at: Fraction | int) -> None:
        self.asked, self.limits, self.close_at = asked, limits, close_at
        self.result = Captured()
        self.closed = False
        self.held: Held = {}
        self.fresh = False
        self.released = False
        self.last_strike: int | None = None
        self.last_change = 0
        self.pending: tuple[int, Held] | None = None
        self.asked_size: Held | None = None
        self.largest: Held = {}
        self.idle_since: Fraction | int | None = None

    def run(self, events: list[Event]) -> Captured:
        """Offer attempts until the item closes."""
        for event in events:
            self._advance(event.time)
            if self.closed:
                break
            if event.kind == "on":
                self._strike(event.time, event.value)
            else:
                self._lift(event.time, event.value)
        self._advance(inf)
        return self.result

    def _advance(self, until: float) -> None:
        while not self.closed:
            due, act = min(self._timers(), key=lambda timer: timer[0])
            if due > until or (due == until and act != self._settle):
                return
            act(due)

    def _timers(self) -> list[tuple[Fraction | int, Callable[[Fraction | int], None]]]:
        limits = self.limits
        timers: list[tuple[Fraction | int, Callable[[Fraction | int], None]]] = []
        if self.pending is not None:
            timers.append((self.pending[0] + tenths(limits.gather_ms), self._gathered))
        if self.fresh and len(self.held) >= self.asked.least:
            timers.append((self.last_change + tenths(limits.settle_ms), self._settle))
        if limits.graded and self.idle_since is not None:
            timers.append((self.idle_since + tenths(limits.closing_ms), self._close))
        timers.append((self.close_at, self._close))
        return timers

    def _gathered(self, time: Fraction | int) -> None:
        assert self.pending is not None
        self._offer(self.pending[1], time, 1)

    def _settle(self, time: Fraction | int) -> None:
        self._offer(self.held, time, 2)

    def _close(self, time: Fraction | int) -> None:
        if self.pending is not None:
            self._offer(self.pending[1], time, 1)
        elif self.fresh and self.held:
            self._offer(self.held, time, 5)
        self._shut(time)

    def _shut(self, time: Fraction | int) -> None:
        if not self.closed:
            self._remember(time)
            self.result.closed, self.closed = time, True

    def _offer(self, held: Held, time: Fraction | int, rule: int) -> None:
        keys = tuple(sorted(held))
        attempt = Attempt(keys, max(held.values()), time, rule, len(self.result.foreign))
        self.result.attempts.append(attempt)
        self.fresh, self.pending, self.asked_size, self.largest = False, None, None, {}
        self.idle_since = time
        found = not self.limits.graded and self.asked.accepts(frozenset(keys))
        if found or len(self.result.attempts) >= self.limits.tries:
            self._shut(time)

    def _remember(self, time: Fraction | int) -> None:
        if self.held:
            past = Past(frozenset(self.held), self.last_change, time)
            self.result.history.append(past)

    def _strike(self, time: int, key: int) -> None:
        waited = self.last_strike is not None and \
            time - self.last_strike > tenths(self.limits.regather_ms)
        if self.fresh and waited and self.released and self.asked_size is not None:
            self._offer(self.asked_size, time, 3)
            if self.closed:
                return
        self._remember(time)
        self.last_change = time
        if key % 12 not in self.asked.classes:
            self.result.foreign.append((time, key))
        self.held[key] = time
        self.fresh, self.released, self.last_strike, self.idle_since = True, False, time, None
        self.asked_size = dict(self.held) if len(self.held) in self.asked.sizes else None
        if len(self.held) >= len(self.largest):
            self.largest = dict(self.held)
        matched = self.asked.accepts(frozenset(self.held))
        self.pending = (time, dict(self.held)) if matched else None

    def _lift(self, time: int, key: int) -> None:
        if key not in self.held:
            return
        self._remember(time)
        del self.held[key]
        self.last_change, self.released = time, True
        sized = len(self.held) in self.asked.sizes and self.asked_size is None
        if sized and not self.asked.accepts(frozenset(self.held)):
            self.asked_size = dict(self.held)
        enough = len(self.largest) >= max(2, self.asked.least - 1)
        if self.fresh and len(self.held) <= 1 and enough:
            self._offer(self.largest, time, 4)


def capture(window: Window, asked: Asked, limits: Limits, close_at: Fraction | int,
            pedal: bool = False) -> Captured:
    """Observe one item; keys down at its prompt count once struck again."""
    window = window.numbered()
    grazes = [note for note in window.notes() if is_graze(note, asked.classes, limits, close_at)]
    window = without_grazes(window, grazes)
    window = window.sustained() if pedal else window
    keys = [event for event in window.events if event.kind in ("on", "off")]
    result = Capture(asked, limits, close_at).run(keys)
    result.grazes = [note for note in grazes if note.on <= result.closed]
    return result

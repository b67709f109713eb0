"""Runs of chords, in tempo and free."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from fractions import Fraction
from math import inf
from statistics import median

from capture import is_graze, without_grazes
from forms import Chord, Item, Shape, Voicing
from leading import Matched, led_ratio
from limits import Limits, tenths
from matching import (
    Played,
    bass_is_right,
    has_exact_classes,
    has_guide_tones,
    match_any,
    thirds_and_sevenths,
)
from performance import Note, Window

Time = Fraction | int

@dataclass(frozen=True)
class Sounding:
    """A cluster of strikes with the keys of the chord before that still sound."""

    keys: frozenset[int]
    struck: tuple[Note, ...]

    @property
    def first(self) -> int:
        """The first strike."""
        return self.struck[0].on

    @property
    def last(self) -> int:
        """The last strike."""
        return self.struck[-1].on

    @property
    def onset(self) -> Fraction:
        """The median of the strikes."""
        return Fraction(median(Fraction(note.on) for note in self.struck))


@dataclass(frozen=True)
class Lifted:
    """Keys left sounding after one was lifted, unchanged until the next change."""

    start: int
    end: float
    keys: frozenset[int]


@dataclass
class Heard:
    """What was heard in the slot of one chord."""

    start: Time
    soundings: list[Sounding] = field(default_factory=list)
    lifted: list[frozenset[int]] = field(default_factory=list)
    late: bool = False
    completed: Time | None = None

    @property
    def later(self) -> list[frozenset[int]]:
        """What was heard after the first sounding."""
        return [sounding.keys for sounding in self.soundings[1:]] + self.lifted


@dataclass
class RunMark:
    """The criteria of a run and the facts behind them."""

    credit: Fraction = Fraction(0)
    criteria: dict[str, Fraction] = field(default_factory=dict)
    harmony: list[Fraction] = field(default_factory=list)
    voicing: list[Fraction] = field(default_factory=list)
    heard: list[Heard] = field(default_factory=list)
    ratio: Fraction | None = None
    readiness: Fraction | None = None
    deviation: Fraction | None = None


class Line:
    """The chords of a run with what is right for each, in one order to start with."""

    def __init__(self, item: Item, limits: Limits, number: int = 0) -> None:
        self.item, self.limits = item, limits
        self.chords: tuple[Chord, ...] = item.chords
        self.number = number

    def voicing(self, index: int) -> Voicing:
        """The voicing asked for a chord."""
        lines = self.chords[index].lines
        return lines[min(self.number, len(lines) - 1)]

    def classes(self, index: int) -> frozenset[int]:
        """The pitch classes that are not foreign to a chord."""
        voicing = self.voicing(index)
        if not self.item.any_voicing:
            return voicing.classes
        foreign = {(each + voicing.symbol.root) % 12 for each in thirds_and_sevenths(voicing)[1]}
        return frozenset(range(12)) - foreign

    def is_right(self, index: int, keys: Iterable[int]) -> bool:
        """Exactly the pitch classes, over the right bass."""
        voicing = self.voicing(index)
        if self.item.any_voicing:
            return has_guide_tones(keys, voicing)
        return has_exact_classes(keys, voicing) and bass_is_right(keys, voicing)

    def played(self, index: int, keys: Iterable[int]) -> tuple[Played, Shape] | None:
        """The keys by hand where they are the asked form; the register binds the first only."""
        return match_any(keys, self.voicing(index), self.limits, register=index == 0)

    def is_form(self, index: int, keys: Iterable[int]) -> bool:
        """Whether the keys are the asked form, in the order the line began with."""
        if self.item.any_voicing:
            return has_guide_tones(keys, self.voicing(index))
        return self.played(index, keys) is not None


class Strikes:
    """The strikes of a run, cut into clusters as the slots ask for them."""

    def __init__(self, window: Window, line: Line) -> None:
        self.window, self.line, self.limits = window.numbered(), line, line.limits
        self._parts: dict[frozenset[int], tuple[list[Note], list[Lifted]]] = {}

    def of(self, index: int) -> tuple[list[Note], list[Lifted]]:
        """What was struck and lifted, the grazes for one chord left out."""
        classes = self.line.classes(index)
        if classes not in self._parts:
            end = self.window.end
            grazes = [note for note in self.window.notes() if is_graze(note, classes, self.limits, end)]
            window = without_grazes(self.window, grazes)
            window = window.sustained() if self.line.item.pedal else window
            self._parts[classes] = (window.notes(), lifts(window))
        return self._parts[classes]

    def first(self, index: int) -> int | None:
        """The first strike of all."""
        return min((note.on for note in self.of(index)[0]), default=None)

    def sounding(self, index: int, after: Note | None, begin: Time, end: Time) -> Sounding | None:
        """The next cluster for a chord after a note, inside its slot.

        A note exactly at `end` belongs to the next slot.
        """
        struck: list[Note] = []
        notes = self.of(index)[0]
        for place in range(self._following(notes, after), len(notes)):
            note = notes[place]
            if note.on >= end:
                break
            if note.on < begin:
                continue
            if struck and note.on - struck[-1].on > tenths(self.limits.cluster_ms):
                break
            struck.append(note)
        return Sounding(self._with_held(notes, struck), tuple(struck)) if struck else None

    @staticmethod
    def _following(notes: list[Note], after: Note | None) -> int:
        """The place of the first note after another, in a row that may lack that one."""
        return sum(after is not None and note.place <= after.place for note in notes)

    def _with_held(self, notes: list[Note], struck: list[Note]) -> frozenset[int]:
        moment = struck[-1].on + tenths(self.limits.linger_ms)
        before = notes[: notes.index(struck[0])]
        held = {note.key for note in before if note.down_at(moment)}
        return frozenset({note.key for note in struck} | held)

    def steady(self, index: int, begin: Time, end: Time) -> Iterator[Lifted]:
        """What lifting left sounding for long enough, from one moment until before another."""
        for each in self.of(index)[1]:
            if begin <= each.start < end and each.end - each.start >= tenths(self.limits.linger_ms):
                yield each


def lifts(window: Window) -> list[Lifted]:
    """The sets of keys down that were reached by lifting some, each until the next change."""
    found: list[Lifted] = []
    down: set[int] = set()
    left: tuple[int, frozenset[int]] | None = None
    for event in window.events:
        struck, lifted = event.kind == "on", event.kind == "off" and event.value in down
        if not struck and not lifted:
            continue
        if left is not None:
            found.append(Lifted(left[0], event.time, left[1]))
            left = None
        if struck:
            down.add(event.value)
        else:
            down.remove(event.value)
            left = (event.time, frozenset(down)) if down else None
    if left is not None:
        found.append(Lifted(left[0], inf, left[1]))
    return found


def mark_run(item: Item, window: Window, limits: Limits) -> RunMark:
    """Mark one run; where the start is open, in the order that the first chord has.

    If the first chord has neither, the line with the higher mark counts.
    """
    count = max(len(chord.lines) for chord in item.chords)
    marks = [mark_line(Line(item, limits, number), window) for number in range(count)]
    return max(marks, key=lambda mark: (mark.voicing[0], mark.credit))


def last_second(item: Item, limits: Limits) -> Time:
    """When the last second of a free run is over: nothing counts after it.

    The candidate may see it close before that, but what is played until the
    next prompt still counts.
    """
    assert item.chord_seconds is not None
    wait = item.chord_seconds * 10_000 * limits.factor
    return tenths(item.look_ms * limits.factor) + wait * len(item.chords)


def until(window: Window, cut: Time) -> Window:
    """The window up to a moment."""
    events = [event for event in window.events if event.time <= cut]
    return replace(window, events=events, end=cut if window.end is None else min(window.end, cut))


def mark_line(line: Line, window: Window) -> RunMark:
    """Mark one run against one line."""
    if not line.item.in_tempo and line.limits.graded:
        window = until(window, last_second(line.item, line.limits))
    strikes = Strikes(window, line)
    heard = hear_in_tempo(line, strikes) if line.item.in_tempo else hear_free(line, strikes, window.end)
    mark = RunMark(heard=heard)
    mark.harmony = [chord_credit(slot, line.is_right, index) for index, slot in enumerate(heard)]
    mark.voicing = [chord_credit(slot, line.is_form, index) for index, slot in enumerate(heard)]
    _judge(mark, line)
    weights = dict(line.item.weights)
    total = sum(weights[name] for name in mark.criteria)
    mark.credit = sum((weights[name] * each for name, each in mark.criteria.items()), Fraction(0)) / total
    return mark


def _judge(mark: RunMark, line: Line) -> None:
    count, limits = len(line.chords), line.limits
    harmony = sum(mark.harmony, Fraction(0)) / count
    mark.criteria = {"harmony": harmony}
    if not line.item.any_voicing:
        mark.criteria["voicing"] = sum(mark.voicing, Fraction(0)) / count
        mark.ratio = led_ratio(_matched(mark.heard, line), line.limits)
        mark.criteria["leading"] = _share(mark.ratio, limits.leading_percents) * harmony
    if line.item.in_tempo:
        mark.deviation = deviation(line, mark.heard)
        mark.criteria["time"] = _share(mark.deviation, limits.time_percents) * harmony
    else:
        mark.readiness = readiness(line, mark.heard)
        mark.criteria["readiness"] = _share(mark.readiness, limits.readiness_percents) * harmony


def _share(value: Fraction | None, percents: tuple[int, ...]) -> Fraction:
    return Fraction(0) if value is None else Fraction(4 - sum(100 * value > step for step in percents), 4)


def chord_credit(slot: Heard, accepts: Callable[[int, Iterable[int]], bool], index: int) -> Fraction:
    """1 where the first sounding is right, a half where late or right only later."""
    if not slot.soundings:
        return Fraction(0)
    if accepts(index, slot.soundings[0].keys):
        return Fraction(1, 2) if slot.late else Fraction(1)
    return Fraction(1, 2) if any(accepts(index, keys) for keys in slot.later) else Fraction(0)


def _matched(heard: list[Heard], line: Line) -> list[Matched | None]:
    rows: list[Matched | None] = []
    for index, slot in enumerate(heard):
        first = slot.soundings[0].keys if slot.soundings else frozenset()
        found = line.played(index, first) if first else None
        rows.append(None if found is None else (*found, line.voicing(index)))
    return rows


def hear_in_tempo(line: Line, strikes: Strikes) -> list[Heard]:
    """What fell into the slot of each beat; the last ends as if another beat followed."""
    item, factor, lag = line.item, line.limits.factor, line.limits.lag_ms
    assert item.beat_ms is not None and item.end_ms is not None
    early = min(Fraction(line.limits.early_ms), item.beat_ms * factor / 2)
    beats = [chord.at_ms * factor + lag for chord in line.chords if chord.at_ms is not None]
    edges = [tenths(beat - early) for beat in [*beats, item.end_ms * factor + lag]]
    heard = []
    for index, beat in enumerate(beats):
        slot = Heard(edges[index])
        last: Note | None = None
        while (sounding := strikes.sounding(index, last, edges[index], edges[index + 1])) is not None:
            slot.soundings.append(sounding)
            last = sounding.struck[-1]
        if slot.soundings:
            first = slot.soundings[0]
            slot.late = first.first > tenths(beat + early)
            slot.lifted = [each.keys for each in strikes.steady(index, first.last, edges[index + 1])]
        heard.append(slot)
    return heard


def hear_free(line: Line, strikes: Strikes, cut: Time | None) -> list[Heard]:
    """What was played for each chord, from where the one before was done with.

    The first slot begins where the time to look ends, or with the first strike before that.
    """
    item, factor = line.item, line.limits.factor
    assert item.chord_seconds is not None
    limit = item.chord_seconds * 10_000 * factor
    look = tenths(item.look_ms * factor)
    heard: list[Heard] = []
    first = strikes.first(0)
    begin: Time = first if first is not None and first < look else look
    last: Note | None = None
    for index in range(len(line.chords)):
        end: Time = begin + limit
        if cut is not None and cut < end:
            end = cut
        slot, begin, last = _hear_one(line, strikes, index, (begin, last), end)
        heard.append(slot)
    return heard


def _hear_one(line: Line, strikes: Strikes, index: int, at: tuple[Time, Note | None],
              end: Time) -> tuple[Heard, Time, Note | None]:
    """One slot of a free run, then where the next one begins and after which note."""
    begin, last = at
    slot = Heard(begin)
    done = line.is_form if line.limits.complete_by_form else line.is_right
    after = index + 1 if index + 1 < len(line.chords) else None
    while (sounding := strikes.sounding(index, last, begin, end + 1)) is not None:
        if done(index, sounding.keys):
            slot.soundings.append(sounding)
            slot.completed = sounding.last
            return slot, sounding.last, sounding.struck[-1]
        if after is not None and _has_classes(line, after, sounding):
            return slot, sounding.first, last
        slot.soundings.append(sounding)
        last = sounding.struck[-1]
        following = strikes.sounding(index, last, begin, end + 1)
        until = end + 1 if following is None else following.first
        for lifted in strikes.steady(index, sounding.last, until):
            if done(index, lifted.keys):
                slot.lifted.append(lifted.keys)
                slot.completed = lifted.start
                return slot, lifted.start, last
    return slot, end, last


def _has_classes(line: Line, index: int, sounding: Sounding) -> bool:
    if line.item.any_voicing:
        return has_guide_tones(sounding.keys, line.voicing(index))
    return has_exact_classes(sounding.keys, line.voicing(index))


def readiness(line: Line, heard: list[Heard]) -> Fraction:
    """The median time to complete as a share of the limit."""
    assert line.item.chord_seconds is not None
    limit = line.item.chord_seconds * 10_000 * line.limits.factor
    times = [
        limit if slot.completed is None else Fraction(slot.completed - slot.start) for slot in heard
    ]
    return median(times) / limit


def deviation(line: Line, heard: list[Heard]) -> Fraction | None:
    """The mean distance from the beat as a share of it, the mean lead or lag removed."""
    factor, beat = line.limits.factor, line.item.beat_ms
    assert beat is not None
    off = [
        slot.soundings[0].onset - tenths(chord.at_ms * factor)
        for slot, chord in zip(heard, line.chords)
        if slot.soundings and chord.at_ms is not None
    ]
    if not off:
        return None
    lag = sum(off, Fraction(0)) / len(off)
    return sum((abs(each - lag) for each in off), Fraction(0)) / len(off) / tenths(beat * factor)

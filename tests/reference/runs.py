"""Runs of chords, in tempo and free."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from statistics import median

from capture import is_graze
from forms import Chord, Item, Shape, Voicing
from leading import led_ratio
from limits import Limits, tenths
from matching import Played, bass_is_right, has_exact_classes, has_guide_tones, match
from performance import Note, Window

Time = Fraction | int
WEIGHTS = {"harmony": 40, "voicing": 20, "leading": 10, "readiness": 15, "time": 15}
LEADING_STEPS = (Fraction("1.25"), Fraction("1.75"), Fraction("2.5"))
READINESS_STEPS = (Fraction("0.40"), Fraction("0.60"), Fraction("0.85"))
TIME_STEPS = (Fraction("0.05"), Fraction("0.08"), Fraction("0.13"))


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


@dataclass
class Heard:
    """What was heard in the slot of one chord."""

    start: Time
    soundings: list[Sounding] = field(default_factory=list)
    late: bool = False
    completed: Time | None = None


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
    """The chords of a run with what is right for each."""

    def __init__(self, item: Item, limits: Limits) -> None:
        self.item, self.limits = item, limits
        self.chords: tuple[Chord, ...] = item.chords
        self.answer = 0

    def voicing(self, index: int) -> Voicing:
        """The voicing asked for a chord."""
        return self.chords[index].voicing

    def is_right(self, index: int, keys: Iterable[int]) -> bool:
        """Exactly the pitch classes, over the right bass."""
        voicing = self.voicing(index)
        if self.item.any_voicing:
            return has_guide_tones(keys, voicing)
        return has_exact_classes(keys, voicing) and bass_is_right(keys, voicing)

    def played(self, index: int, keys: Iterable[int], answer: int | None) -> Played | None:
        """The keys by hand where they are the asked form; the register binds the first only."""
        voicing = self.voicing(index)
        if answer is not None and answer >= len(voicing.hands):
            return None
        return match(keys, voicing, self.limits, answer, register=index == 0)

    def is_form(self, index: int, keys: Iterable[int]) -> bool:
        """Whether the keys are the asked form, in the order the line began with."""
        if self.item.any_voicing:
            return has_guide_tones(keys, self.voicing(index))
        return self.played(index, keys, self.answer) is not None

    def choose_order(self, heard: Sequence[Heard]) -> None:
        """Take the order of the first chord that matches; the line goes on from there."""
        for index, slot in enumerate(heard):
            for sounding in slot.soundings[:1]:
                for answer in range(len(self.voicing(index).hands)):
                    if self.played(index, sounding.keys, answer) is not None:
                        self.answer = answer
                        return


class Strikes:
    """The strikes of a run, cut into clusters as the slots ask for them."""

    def __init__(self, window: Window, line: Line) -> None:
        self.notes = window.notes()
        self.line, self.limits = line, line.limits

    def sounding(self, index: int, start: int, begin: Time, end: Time) -> tuple[Sounding, int] | None:
        """The next cluster for a chord from note `start`, inside its slot, and what follows it.

        A note exactly at `end` belongs to the next slot.
        """
        classes = self.line.voicing(index).classes
        struck: list[Note] = []
        place = start
        for place in range(start, len(self.notes)):
            note = self.notes[place]
            if note.on >= end:
                break
            if note.on < begin or self._is_graze(note, classes):
                continue
            if struck and note.on - struck[-1].on > tenths(self.limits.cluster_ms):
                break
            struck.append(note)
        else:
            place = len(self.notes)
        if not struck:
            return None
        oldest = begin if index == 0 else 0
        return Sounding(self._with_held(struck, classes, oldest), tuple(struck)), place

    def _is_graze(self, note: Note, classes: frozenset[int]) -> bool:
        return not self.line.item.any_voicing and is_graze(note, classes, self.limits)

    def _with_held(self, struck: list[Note], classes: frozenset[int], oldest: Time) -> frozenset[int]:
        moment = struck[-1].on + tenths(self.limits.linger_ms)
        before = self.notes[: self.notes.index(struck[0])]
        held = {
            note.key
            for note in before
            if note.on >= oldest and note.down_at(int(moment)) and not self._is_graze(note, classes)
        }
        return frozenset({note.key for note in struck} | held)


def mark_run(item: Item, window: Window, limits: Limits) -> RunMark:
    """Mark one run."""
    window = window.sustained() if item.pedal else window
    line = Line(item, limits)
    strikes = Strikes(window, line)
    heard = hear_in_tempo(line, strikes) if item.in_tempo else hear_free(line, strikes, window.end)
    line.choose_order(heard)
    mark = RunMark(heard=heard)
    mark.harmony = [chord_credit(slot, line.is_right, index) for index, slot in enumerate(heard)]
    mark.voicing = [chord_credit(slot, line.is_form, index) for index, slot in enumerate(heard)]
    _judge(mark, line)
    total = sum(WEIGHTS[name] for name in mark.criteria)
    mark.credit = sum((WEIGHTS[name] * each for name, each in mark.criteria.items()), Fraction(0)) / total
    return mark


def _judge(mark: RunMark, line: Line) -> None:
    count = len(line.chords)
    harmony = sum(mark.harmony, Fraction(0)) / count
    mark.criteria = {"harmony": harmony, "voicing": sum(mark.voicing, Fraction(0)) / count}
    if not line.item.any_voicing:
        mark.ratio = led_ratio(_matched(mark.heard, line), line.limits)
        mark.criteria["leading"] = _share(mark.ratio, LEADING_STEPS) * harmony
    if line.item.in_tempo:
        mark.deviation = deviation(line, mark.heard)
        mark.criteria["time"] = _share(mark.deviation, TIME_STEPS) * harmony
    else:
        mark.readiness = readiness(line, mark.heard)
        mark.criteria["readiness"] = _share(mark.readiness, READINESS_STEPS) * harmony


def _share(value: Fraction | None, steps: tuple[Fraction, ...]) -> Fraction:
    return Fraction(0) if value is None else Fraction(4 - sum(value > step for step in steps), 4)


def chord_credit(slot: Heard, accepts: Callable[[int, Iterable[int]], bool], index: int) -> Fraction:
    """1 where the first sounding is right, a half where late or right only later."""
    right = [accepts(index, sounding.keys) for sounding in slot.soundings]
    if right and right[0] and not slot.late:
        return Fraction(1)
    return Fraction(1, 2) if any(right) else Fraction(0)


def _matched(heard: list[Heard], line: Line) -> list[tuple[Played, Shape, Voicing] | None]:
    rows: list[tuple[Played, Shape, Voicing] | None] = []
    for index, slot in enumerate(heard):
        first = slot.soundings[0].keys if slot.soundings else frozenset()
        played = line.played(index, first, line.answer) if first else None
        voicing = line.voicing(index)
        if played is None:
            rows.append(None)
            continue
        whole = tuple(key % 12 for key in played.left + played.right)
        shape = next(each for each in voicing.shapes_of(line.answer) if each.classes == whole)
        rows.append((played, shape, voicing))
    return rows


def hear_in_tempo(line: Line, strikes: Strikes) -> list[Heard]:
    """What fell into the slot of each beat."""
    item, factor = line.item, line.limits.factor
    assert item.beat_ms is not None and item.end_ms is not None
    early = min(Fraction(line.limits.early_ms), item.beat_ms * factor / 2)
    beats = [chord.at_ms * factor for chord in line.chords if chord.at_ms is not None]
    edges = [tenths(beat - early) for beat in beats] + [tenths(item.end_ms * factor)]
    heard = []
    for index, beat in enumerate(beats):
        slot = Heard(edges[index])
        place = 0
        while (found := strikes.sounding(index, place, edges[index], edges[index + 1])) is not None:
            sounding, place = found
            slot.soundings.append(sounding)
        slot.late = bool(slot.soundings) and slot.soundings[0].first > tenths(beat + early)
        heard.append(slot)
    return heard


def hear_free(line: Line, strikes: Strikes, cut: int | None) -> list[Heard]:
    """What was played for each chord, from where the one before was done with."""
    item, factor = line.item, line.limits.factor
    assert item.chord_seconds is not None
    limit = item.chord_seconds * 10_000 * factor
    latest: Time = item.seconds * 10_000 * factor
    latest = latest if cut is None else min(latest, cut)
    heard: list[Heard] = []
    begin: Time = 0
    place = 0
    for index in range(len(line.chords)):
        slot, begin, place = _hear_one(line, strikes, index, (begin, place), min(begin + limit, latest))
        heard.append(slot)
    return heard


def _hear_one(line: Line, strikes: Strikes, index: int, at: tuple[Time, int],
              end: Time) -> tuple[Heard, Time, int]:
    """One slot of a free run, then where and with which note the next one begins."""
    begin, place = at
    slot = Heard(begin)
    done = line.is_form if line.limits.complete_by_form else line.is_right
    after = index + 1 if index + 1 < len(line.chords) else None
    while (found := strikes.sounding(index, place, begin, end + 1)) is not None:
        sounding, following = found
        if done(index, sounding.keys):
            slot.soundings.append(sounding)
            slot.completed = sounding.last
            return slot, sounding.last, following
        if after is not None and _has_classes(line, after, sounding):
            return slot, sounding.first, place
        slot.soundings.append(sounding)
        place = following
    return slot, end, place


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

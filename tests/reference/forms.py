"""Forms with their key, as printed in TOML."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from itertools import combinations
from pathlib import Path
from typing import Any

from limits import Limits
from theory import Symbol, degree_semitones, parse_symbol

Range = tuple[int, int]
WEIGHTS = {"harmony": 40, "voicing": 20, "leading": 10, "readiness": 15, "time": 15}
FIGURES = {
    "gather_ms": ["gather_ms"],
    "apart_ms": ["regather_ms", "cluster_ms"],
    "found_ms": ["walked_ms"],
    "closing_ms": ["closing_ms"],
    "graze_ms": ["graze_ms"],
    "graze_velocity": ["graze_velocity"],
    "window_ms": ["early_ms"],
    "still_down_ms": ["linger_ms"],
    "leading": ["leading_percents"],
    "readiness": ["readiness_percents"],
    "time": ["time_percents"],
}
"""The figures of `[rubric]` by their names here."""
GUIDE_TONE_REGISTER: dict[str, Range] = {"left_lowest": (34, 127), "right_lowest": (52, 75)}


@dataclass(frozen=True)
class Hands:
    """The degrees of both hands, each from low to high."""

    left: tuple[str, ...]
    right: tuple[str, ...]

    @property
    def degrees(self) -> tuple[str, ...]:
        """Both hands from low to high."""
        return self.left + self.right


@dataclass(frozen=True)
class Shape:
    """One acceptable realisation: pitch classes of both hands from low to high."""

    left: tuple[int, ...]
    right: tuple[int, ...]
    register: tuple[tuple[str, Range], ...]

    @property
    def classes(self) -> tuple[int, ...]:
        """All pitch classes in order."""
        return self.left + self.right

    def moved(self, semitones: int) -> Shape:
        """The same form on another root, free of any register."""
        left = tuple((each + semitones) % 12 for each in self.left)
        right = tuple((each + semitones) % 12 for each in self.right)
        return Shape(left, right, ())


@dataclass(frozen=True)
class Voicing:
    """An asked chord: the first of `hands` is printed, the others are equal answers."""

    symbol: Symbol
    hands: tuple[Hands, ...]
    register: tuple[tuple[str, Range], ...] = ()
    optional: tuple[str, ...] = ()
    open: bool = False
    doubling: bool = False
    joined: bool = False
    span: int | None = None
    other_orders: tuple[Hands, ...] = ()
    example: tuple[int, ...] = ()

    def shapes_of(self, hands: Hands) -> tuple[Shape, ...]:
        """The shapes of one answer: whole, then without what may be left out."""
        spare = [degree for degree in hands.degrees if degree in self.optional]
        dropped = [set(some) for size in range(len(spare) + 1) for some in combinations(spare, size)]
        return tuple(self._shape(hands, gone) for gone in dropped)

    @property
    def shapes(self) -> tuple[Shape, ...]:
        """The shapes of all answers."""
        return tuple(shape for hands in self.hands for shape in self.shapes_of(hands))

    @property
    def same_form(self) -> tuple[Shape, ...]:
        """The shapes of the form in all its orders: on top may lie what will."""
        return tuple(shape for hands in self.hands + self.other_orders for shape in self.shapes_of(hands))

    @property
    def classes(self) -> frozenset[int]:
        """Every pitch class of any answer; other keys are foreign."""
        return frozenset(each for shape in self.shapes for each in shape.classes)

    def _shape(self, hands: Hands, gone: set[str]) -> Shape:
        def classes(degrees: tuple[str, ...]) -> tuple[int, ...]:
            kept = (degree for degree in degrees if degree not in gone)
            return tuple((self.symbol.root + degree_semitones(degree)) % 12 for degree in kept)

        limits = dict(GUIDE_TONE_REGISTER) if self._is_guide_tones(hands) else {}
        limits.update(dict(self.register))
        return Shape(classes(hands.left), classes(hands.right), tuple(limits.items()))

    def _is_guide_tones(self, hands: Hands) -> bool:
        pair = sorted(degree_semitones(degree) for degree in hands.right)
        own = [self.symbol.third, self.symbol.seventh]
        return bool(hands.left) and None not in own and pair == sorted(each or 0 for each in own)


@dataclass(frozen=True)
class Chord:
    """One chord of a run; `at_ms` is its beat since the prompt, in tempo.

    Where the start is left open there is a voicing for each order to start with.
    """

    lines: tuple[Voicing, ...]
    at_ms: Fraction | None

    @property
    def voicing(self) -> Voicing:
        """What is asked, in the first of the lines."""
        return self.lines[0]

    def slowed(self, factor: Fraction) -> Chord:
        """The chord under a time factor."""
        return replace(self, at_ms=None if self.at_ms is None else self.at_ms * factor)


@dataclass(frozen=True)
class Item:
    """One item of a form with its key."""

    number: int
    section: str
    kind: str
    prompt: str
    seconds: Fraction
    grace: Fraction | None = None
    pedal: bool = False
    voicing: Voicing | None = None
    chords: tuple[Chord, ...] = ()
    any_voicing: bool = False
    weights: tuple[tuple[str, int], ...] = tuple(WEIGHTS.items())
    look_ms: Fraction = Fraction(0)
    beat_ms: Fraction | None = None
    end_ms: Fraction | None = None
    chord_seconds: Fraction | None = None
    sound_ms: Fraction = Fraction(0)
    hearings: int | None = None
    options: tuple[Any, ...] = ()
    answers: tuple[str, ...] = ()
    steps: tuple[tuple[int, ...], ...] | None = None

    @property
    def in_tempo(self) -> bool:
        """Whether a run has beats."""
        return self.beat_ms is not None

    def slowed(self, factor: Fraction) -> Item:
        """The item under a time factor: its seconds, look time and beats."""

        def times(value: Fraction | None) -> Fraction | None:
            return None if value is None else value * factor

        return replace(
            self,
            seconds=self.seconds * factor,
            look_ms=self.look_ms * factor,
            beat_ms=times(self.beat_ms),
            end_ms=times(self.end_ms),
            chord_seconds=times(self.chord_seconds),
            chords=tuple(chord.slowed(factor) for chord in self.chords),
        )

    def late(self, lag_ms: int) -> Item:
        """The item as a player hears it who taps along so late: a run in tempo has later beats."""
        if not self.in_tempo:
            return self

        return replace(
            self,
            end_ms=None if self.end_ms is None else self.end_ms + lag_ms,
            chords=tuple(
                replace(chord, at_ms=None if chord.at_ms is None else chord.at_ms + lag_ms)
                for chord in self.chords
            ),
        )


@dataclass(frozen=True)
class Form:
    """A form: its items in order and the points of its sections."""

    exam: str
    code: str
    items: tuple[Item, ...]
    points: dict[str, Fraction]
    rules: tuple[tuple[str, Any], ...] = ()

    def limits(self, usual: Limits) -> Limits:
        """The figures with those that the exam sets."""
        return replace(usual, **dict(self.rules))


def read_form(path: Path) -> Form:
    """Read a form with its key."""
    return form_from(tomllib.loads(path.read_text(encoding="utf-8"), parse_float=Decimal))


def form_from(data: dict[str, Any]) -> Form:
    """Build a form from parsed TOML."""
    sections = {each["id"]: each for each in data.get("section", [])}
    points = {name: Fraction(each["points"]) for name, each in sections.items()
              if "points" in each and each.get("kind") != "rest"}
    items = [_item(table, sections.get(table.get("section", ""), {})) for table in data.get("item", [])]
    numbers = [item.number for item in items]
    if len(set(numbers)) != len(numbers):
        raise ValueError("expected unique item numbers, found one twice")
    rules: dict[str, Any] = {name: int(data[name]) for name in ("tries", "settle_ms") if name in data}
    for name, value in data.get("rubric", {}).items():
        figure = tuple(value) if isinstance(value, list) else int(value)
        rules.update((mine, figure) for mine in FIGURES[name])
    if data.get("feedback"):
        rules["graded"] = False
    return Form(str(data.get("exam", "")), str(data.get("form", "")), tuple(items), points,
                tuple(rules.items()))


def _item(table: dict[str, Any], around: dict[str, Any]) -> Item:
    """An item; what it does not say of itself its section says."""
    section, kind = str(table.get("section", "")), str(table["kind"])
    is_open = table.get("start") == "open"
    chords = tuple(_chord(each, is_open) for each in table.get("chord", []))
    weights = {**WEIGHTS, **around.get("weights", {}), **table.get("weights", {})}
    return Item(
        number=table["number"],
        section=section,
        kind=kind,
        prompt=str(table.get("prompt", "")),
        seconds=Fraction(table.get("seconds", 0)),
        grace=_fraction(table, "grace"),
        pedal=table.get("pedal", around.get("pedal", False)),
        voicing=_voicing(table) if kind == "voicing" else None,
        chords=chords,
        any_voicing="any" in (table.get("voicing"), around.get("voicing")),
        weights=tuple(weights.items()),
        look_ms=_fraction(table, "look_ms") or Fraction(0),
        beat_ms=_fraction(table, "beat_ms"),
        end_ms=_fraction(table, "end_ms"),
        chord_seconds=_fraction(table, "chord_seconds"),
        sound_ms=_fraction(table, "sound_ms") or Fraction(0),
        hearings=table.get("hearings"),
        options=tuple(table.get("options", [])),
        answers=tuple(table.get("answers", [])),
        steps=_steps(table) if table.get("play_back") else None,
    )


def _steps(table: dict[str, Any]) -> tuple[tuple[int, ...], ...]:
    """The keys that are to be played back, as they sound."""
    return tuple(tuple(sorted(each["keys"])) for each in table.get("sound", []))


def _chord(table: dict[str, Any], is_open: bool) -> Chord:
    """A chord of a run; `line` says to which of the lines equal hands belong."""
    rows: dict[int, list[dict[str, Any]]] = {1: [table]}
    for each in table.get("equal", []):
        rows.setdefault(each.get("line", 2 if is_open else 1), []).append(each)
    lines = [
        _voicing({**table, "left": row[0].get("left", []), "right": row[0].get("right", []), "equal": row[1:]})
        for _, row in sorted(rows.items())
    ]
    return Chord(tuple(lines), _fraction(table, "at_ms"))


def _voicing(table: dict[str, Any]) -> Voicing:
    register = {name: (low, high) for name, (low, high) in table.get("register", {}).items()}
    return Voicing(
        symbol=parse_symbol(table["symbol"]),
        hands=tuple(_hands(each) for each in [table, *table.get("equal", [])]),
        register=tuple(register.items()),
        optional=tuple(table.get("optional", [])),
        open=table.get("open", False),
        doubling=table.get("doubling", False),
        joined=table.get("joined", False),
        span=table.get("span"),
        other_orders=tuple(_hands(each) for each in table.get("other_orders", [])),
        example=tuple(table.get("example", [])),
    )


def _hands(table: dict[str, Any]) -> Hands:
    return Hands(tuple(table.get("left", [])), tuple(table.get("right", [])))


def _fraction(table: dict[str, Any], name: str) -> Fraction | None:
    return Fraction(table[name]) if name in table else None

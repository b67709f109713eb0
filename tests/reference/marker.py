"""An independent marker, written from the text of the marking rules alone.

    python marker.py FORM_WITH_KEY.toml PERFORMANCE.mid [--toml] [--tries 2 ...]

It shares no code with the program, so that a disagreement between the two
points at a fault in one of them or at a gap in the text. Credits and marks
are exact fractions.
"""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import limits as figures
from answers import AnswerMark, mark_answer
from forms import Form, Item, read_form
from limits import Limits
from performance import Note, Window, read_events, windows
from playback import mark_played
from runs import RunMark, mark_run
from voicings import VoicingMark, mark_voicing

Detail = VoicingMark | RunMark | AnswerMark


@dataclass
class ItemMark:
    """The mark of one item; a credit is missing where only a person can give it."""

    item: Item
    reached: bool
    credit: Fraction | None
    level: int | None = None
    detail: Detail | None = None

    @property
    def facts(self) -> dict[str, Any]:
        """What was observed, in plain values."""
        if isinstance(self.detail, VoicingMark):
            return voicing_facts(self.detail)
        if isinstance(self.detail, RunMark):
            return run_facts(self.detail)
        if isinstance(self.detail, AnswerMark):
            return answer_facts(self.detail)
        return {}


@dataclass
class SectionMark:
    """Points × mean credit; unknown while a credit or the points are missing."""

    section: str
    points: Fraction | None
    mean: Fraction | None

    @property
    def mark(self) -> Fraction | None:
        """The section's mark."""
        return None if self.points is None or self.mean is None else self.points * self.mean


@dataclass
class Marks:
    """All marks of a sitting."""

    items: list[ItemMark] = field(default_factory=list)
    sections: list[SectionMark] = field(default_factory=list)

    @property
    def total(self) -> Fraction | None:
        """The sum of the sections that have points."""
        marks = [section.mark for section in self.sections if section.points is not None]
        known = [mark for mark in marks if mark is not None]
        return sum(known, Fraction(0)) if marks and len(known) == len(marks) else None


def mark_item(item: Item, window: Window | None, limits: Limits) -> ItemMark:
    """Mark one item; one that was not reached scores 0."""
    level = 0 if item.kind == "voicing" else None
    if item.kind == "panel":
        return ItemMark(item, window is not None, None)
    if window is None:
        return ItemMark(item, False, Fraction(0), level)
    if item.kind == "voicing":
        voicing = mark_voicing(item, window, limits)
        return ItemMark(item, True, voicing.credit, voicing.level, voicing)
    if item.kind == "run":
        run = mark_run(item, window, limits)
        return ItemMark(item, True, run.credit, None, run)
    if item.steps is not None:
        back = mark_played(item, window, limits)
        return ItemMark(item, True, back.credit, None, back)
    if item.kind in ("ear", "spell"):
        answer = mark_answer(item, window, limits)
        return ItemMark(item, True, answer.credit, None, answer)
    raise ValueError(f"item {item.number}: expected a known kind, found {item.kind!r}")


def mark_form(form: Form, found: Mapping[int, Window], limits: Limits = Limits(),
              points: Mapping[str, Fraction] | None = None,
              given: Mapping[int, Fraction] | None = None,
              voided: frozenset[int] = frozenset()) -> Marks:
    """Mark a whole form.

    `points` by section overrides the form's own; `given` holds the credits
    that a person gave; voided items leave the denominator.
    """
    marks = Marks()
    for item in form.items:
        marks.items.append(mark_item(item, found.get(item.number), limits))
        if item.number in (given or {}):
            marks.items[-1].credit = (given or {})[item.number]
    worth = form.points if points is None else points
    for section in dict.fromkeys([*worth, *(item.section for item in form.items)]):
        credits = [
            each.credit
            for each in marks.items
            if each.item.section == section and each.item.number not in voided
        ]
        marks.sections.append(SectionMark(section, worth.get(section), mean_credit(credits)))
    return marks


def mean_credit(credits: list[Fraction | None]) -> Fraction | None:
    """The mean, unless there is none or one is missing."""
    known = [each for each in credits if each is not None]
    if not known or len(known) < len(credits):
        return None
    return sum(known, Fraction(0)) / len(known)


def mark_files(form: Path, performance: Path, limits: Limits = Limits(), **options: Any) -> Marks:
    """Mark a performance file against a form with its key."""
    read = read_form(form)
    limits = read.limits(limits)
    found = windows(read_events(performance, limits.transpose))
    return mark_form(read, found, limits, **options)


def in_ms(time: Fraction | int | None) -> float | None:
    """Tenths as milliseconds, for reading only."""
    return None if time is None else round(float(time) / 10, 1)


def _struck(note: Note) -> dict[str, Any]:
    held = None if note.off is None else in_ms(note.off - note.on)
    return {"at": in_ms(note.on), "key": note.key, "velocity": note.velocity, "held": held}


def voicing_facts(mark: VoicingMark) -> dict[str, Any]:
    """Attempts, foreign keys and grazes."""
    captured = mark.captured
    attempts = [
        {
            "keys": list(attempt.keys),
            "onset": in_ms(attempt.onset),
            "offered": in_ms(attempt.offered),
            "rule": attempt.rule,
            "foreign_before": attempt.foreign_before,
            "level": level,
        }
        for attempt, level in zip(captured.attempts, mark.levels)
    ]
    return {
        "attempts": attempts,
        "walked": mark.walked,
        "foreign": [{"at": in_ms(time), "key": key} for time, key in captured.foreign],
        "grazes": [_struck(note) for note in captured.grazes],
        "closed": in_ms(captured.closed),
    }


def run_facts(mark: RunMark) -> dict[str, Any]:
    """Criteria, and for each chord its slot and its soundings."""
    chords = [
        {
            "slot": in_ms(slot.start),
            "late": slot.late,
            "completed": in_ms(slot.completed),
            "soundings": [
                {"keys": sorted(each.keys), "first": in_ms(each.first), "last": in_ms(each.last)}
                for each in slot.soundings
            ],
            "lifted": [sorted(each) for each in slot.lifted],
            "harmony": str(harmony),
            "voicing": str(voicing),
        }
        for slot, harmony, voicing in zip(mark.heard, mark.harmony, mark.voicing)
    ]
    measures = {"ratio": mark.ratio, "readiness": mark.readiness, "deviation": mark.deviation}
    return {
        "criteria": {name: str(each) for name, each in mark.criteria.items()},
        **{name: round(float(each), 4) for name, each in measures.items() if each is not None},
        "chords": chords,
    }


def answer_facts(mark: AnswerMark) -> dict[str, Any]:
    """The answer, its time and the hearings."""
    return {
        "answer": mark.answer,
        "time": in_ms(mark.time),
        "hearings": mark.hearings,
        "too_late": mark.too_late,
    }


def hundredths(value: Fraction) -> str:
    """A fraction in hundredths, halves upwards."""
    exact = Decimal(value.numerator) / Decimal(value.denominator)
    return str(exact.quantize(Decimal("0.01"), ROUND_HALF_UP))


def as_toml(marks: Marks) -> str:
    """The marks in the layout of a result file."""
    lines: list[str] = []
    if marks.total is not None:
        lines += [f"total = {hundredths(marks.total)}", ""]
    for section in marks.sections:
        if section.mark is not None:
            lines += ["[[section]]", f'id = "{section.section}"', f"mark = {hundredths(section.mark)}", ""]
    for each in marks.items:
        if each.credit is None:
            continue
        lines += ["[[item]]", f"number = {each.item.number}"]
        lines += [f"level = {each.level}"] if each.level is not None else []
        lines += [f"credit = {hundredths(each.credit)}", ""]
    return "\n".join(lines)


def as_text(marks: Marks) -> str:
    """The marks with the facts, for reading."""
    lines = []
    for each in marks.items:
        level = "" if each.level is None else f" level {each.level}"
        reached = "" if each.reached else " not reached"
        lines.append(f"item {each.item.number} {each.item.kind}{level} credit {each.credit}{reached}")
        lines += [f"    {name}: {value}" for name, value in each.facts.items()]
    for section in marks.sections:
        lines.append(f"section {section.section}: mean {section.mean}, mark {section.mark}")
    return "\n".join([*lines, f"total {marks.total}"])


def main() -> None:
    """Mark one performance and print the marks."""
    parser = argparse.ArgumentParser(description="Mark a performance file.")
    parser.add_argument("form", type=Path)
    parser.add_argument("performance", type=Path)
    parser.add_argument("--toml", action="store_true", help="print a result file")
    figures.add_arguments(parser)
    arguments = parser.parse_args()
    marks = mark_files(arguments.form, arguments.performance, figures.from_arguments(arguments))
    print(as_toml(marks) if arguments.toml else as_text(marks))


if __name__ == "__main__":
    main()

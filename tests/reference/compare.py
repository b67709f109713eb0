"""Compare the program's result file with the independent marker.

    python compare.py FORM_WITH_KEY.toml PERFORMANCE.mid RESULT.toml

Prints each difference in a line and exits with 1 if there is any; the marker
itself prints all that it saw (`python marker.py FORM PERFORMANCE`). Levels,
attempts, and right, late or wrong of each chord of a run are compared
exactly, and so are the shares that follow from them. What a result holds in
hundredths (credits, criteria, marks) agrees when it is the exact fraction
rounded to the nearest hundredth; at an exact half both neighbours agree.
Times agree to a tenth of a millisecond.
"""

from __future__ import annotations

import argparse
import sys
import tomllib
from collections.abc import Callable
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import limits as figures
from answers import AnswerMark
from limits import Limits
from marker import ItemMark, Marks, hundredths, mark_files
from runs import RunMark
from voicings import VoicingMark

HALF = Fraction(1, 200)
STEPS = {Fraction(1): "right", Fraction(1, 2): "late", Fraction(0): "wrong"}
"""How a result file names the exact credit of one chord of a run."""
CRITERIA = {"leading": "voice leading"}


def agrees(printed: Any, exact: Fraction | None) -> bool:
    """Whether a printed figure is the exact one rounded to hundredths."""
    if printed is None or exact is None:
        return printed is None and exact is None
    return abs(Fraction(printed) - exact) <= HALF


def rows_of(ours: ItemMark, theirs: dict[str, Any]) -> list[tuple[str, Any, Any, bool]]:
    """What is compared of an item: name, here, there, and whether they agree."""
    here = "none" if ours.credit is None else f"{hundredths(ours.credit)} ({ours.credit})"
    rows = [("credit", here, theirs.get("credit"), agrees(theirs.get("credit"), ours.credit))]

    def exact(name: str, mine: Any, printed: Any) -> None:
        rows.append((name, mine, printed, mine == printed))

    if ours.level is not None:
        exact("level", ours.level, theirs.get("level"))
    if isinstance(ours.detail, VoicingMark) and "attempts" in theirs:
        captured = ours.detail.captured
        exact("attempts", len(captured.attempts), theirs["attempts"])
        exact("walked", ours.detail.walked, theirs.get("walked"))
        exact("foreign keys", len(captured.foreign), theirs.get("foreign", 0))
        exact("grazes", len(captured.grazes), theirs.get("grazes", 0))
    if isinstance(ours.detail, RunMark) and "chords" in theirs:
        _run_rows(ours.detail, theirs, exact, rows)
    if isinstance(ours.detail, AnswerMark) and "hearings" in theirs:
        exact("hearings", ours.detail.hearings, theirs["hearings"])
    return rows


def _run_rows(ours: RunMark, theirs: dict[str, Any], exact: Callable[[str, Any, Any], None],
              rows: list[tuple[str, Any, Any, bool]]) -> None:
    """The chords exactly, the criteria in hundredths."""
    for place, (chord, slot) in enumerate(zip(theirs["chords"], ours.heard)):
        name = f"chord {place + 1} {chord['symbol']}"
        first = sorted(slot.soundings[0].keys) if slot.soundings else []
        exact(f"{name} keys", first, chord["keys"])
        exact(f"{name} harmony", STEPS[ours.harmony[place]], chord["harmony"])
        exact(f"{name} voicing", STEPS[ours.voicing[place]], chord["voicing"])
        if slot.completed is not None:
            done = Fraction(chord.get("complete_ms", -1000)) * 10
            near = abs(done - (slot.completed - slot.start)) <= 1
            rows.append((f"{name} complete", slot.completed - slot.start, done, near))
    printed = {table["criterion"]: table["credit"] for table in theirs.get("criteria", [])}
    exact("criteria", sorted(CRITERIA.get(name, name) for name in ours.criteria), sorted(printed))
    for name, credit in ours.criteria.items():
        there = printed.get(CRITERIA.get(name, name))
        rows.append((name, str(credit), there, agrees(there, credit)))


def compare_item(ours: ItemMark, theirs: dict[str, Any]) -> list[str]:
    """The differences of one item, in one line."""
    name = f"item {ours.item.number} ({ours.item.kind}, {ours.item.prompt[:60]!r})"
    if not theirs:
        return [f"{name}: expected a table in the result, found none"]
    differ = [f"{what} {mine} here, {there} in the result"
              for what, mine, there, same in rows_of(ours, theirs) if not same]
    return [f"{name}: {'; '.join(differ)}"] if differ else []


def compare(marks: Marks, result: dict[str, Any]) -> list[str]:
    """All differences."""
    lines: list[str] = []
    tables = {table["number"]: table for table in result.get("item", [])}
    for ours in marks.items:
        if ours.item.kind != "panel":
            lines += compare_item(ours, tables.pop(ours.item.number, {}))
        else:
            tables.pop(ours.item.number, None)
    lines += [f"item {number}: only in the result" for number in tables]
    sections = {table["id"]: table for table in result.get("section", [])}
    for section in marks.sections:
        if section.points is None:
            continue
        printed = sections.get(section.section, {}).get("mark")
        if not agrees(printed, section.mark):
            lines.append(f"section {section.section}: mark {section.mark} here, {printed} in the result")
    if any(section.points is not None for section in marks.sections):
        total = printed_total(result)
        if not agrees(total, marks.total):
            lines.append(f"total: {marks.total} here, {total} in the result")
    return lines


def printed_total(result: dict[str, Any]) -> Any:
    """The total, as a number or as a table with its mark."""
    total = result.get("total")
    return total.get("mark") if isinstance(total, dict) else total


def given_credits(form: Path, result: dict[str, Any]) -> dict[int, Fraction]:
    """The credits of panel items, which only a person can give."""
    kinds = tomllib.loads(form.read_text(encoding="utf-8")).get("item", [])
    panel = {item["number"] for item in kinds if item["kind"] == "panel"}
    return {
        table["number"]: Fraction(table["credit"])
        for table in result.get("item", [])
        if table["number"] in panel and "credit" in table
    }


def compare_files(form: Path, performance: Path, result: Path, limits: Limits = Limits()) -> list[str]:
    """The differences between a result file and the marks worked out here."""
    data = tomllib.loads(result.read_text(encoding="utf-8"), parse_float=Decimal)
    voided = frozenset(table["number"] for table in data.get("item", []) if table.get("voided"))
    marks = mark_files(form, performance, limits, given=given_credits(form, data), voided=voided)
    marks.items = [each for each in marks.items if each.item.number not in voided]
    data["item"] = [table for table in data.get("item", []) if table["number"] not in voided]
    return compare(marks, data)


def main() -> int:
    """Print the differences; 1 if there is any."""
    parser = argparse.ArgumentParser(description="Compare a result file with the independent marker.")
    parser.add_argument("form", type=Path)
    parser.add_argument("performance", type=Path)
    parser.add_argument("result", type=Path)
    figures.add_arguments(parser)
    arguments = parser.parse_args()
    limits = figures.from_arguments(arguments)
    lines = compare_files(arguments.form, arguments.performance, arguments.result, limits)
    print("\n".join(lines) if lines else "no differences")
    return 1 if lines else 0


if __name__ == "__main__":
    sys.exit(main())

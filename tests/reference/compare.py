"""Compare the program's result file with the independent marker.

    python compare.py FORM_WITH_KEY.toml PERFORMANCE.mid RESULT.toml

Prints each difference with the reasons of both sides and exits with 1 if
there is any. A figure in hundredths agrees when it is the exact fraction
rounded to the nearest hundredth; at an exact half both neighbours agree.
"""

from __future__ import annotations

import argparse
import json
import sys
import tomllib
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import limits as figures
from limits import Limits
from marker import ItemMark, Marks, hundredths, mark_files

HALF = Fraction(1, 200)


def agrees(printed: Any, exact: Fraction | None) -> bool:
    """Whether a printed figure is the exact one rounded to hundredths."""
    if printed is None or exact is None:
        return printed is None and exact is None
    return abs(Fraction(printed) - exact) <= HALF


def reasons(table: dict[str, Any]) -> str:
    """A side's facts in one line."""
    return json.dumps(table, default=str, ensure_ascii=False)


def compare_item(ours: ItemMark, theirs: dict[str, Any]) -> list[str]:
    """The differences of one item."""
    name = f"item {ours.item.number} ({ours.item.kind}, {ours.item.prompt!r})"
    if not theirs:
        return [f"{name}: expected a table in the result, found none"]
    lines = []
    if ours.level is not None and theirs.get("level") != ours.level:
        lines.append(f"{name}: level {ours.level} here, {theirs.get('level')} in the result")
    if not agrees(theirs.get("credit"), ours.credit):
        here = None if ours.credit is None else hundredths(ours.credit)
        lines.append(f"{name}: credit {here} ({ours.credit}) here, {theirs.get('credit')} in the result")
    if lines:
        lines += [f"    here:   {reasons(ours.facts)}", f"    result: {reasons(theirs)}"]
    return lines


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

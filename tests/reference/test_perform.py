"""Tests of the invented performances, and of the marker over whole files."""

from __future__ import annotations

import tempfile
import tomllib
import unittest
from collections.abc import Iterable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

from compare import compare, compare_files
from forms import read_form
from limits import Limits
from marker import Marks, as_toml, mark_files, mark_form
from perform import Manner, perform, write
from performance import Window, windows

FORM = Path(__file__).parent / "sample_form.toml"
SHIFTED = ("settle_ms", "closing_ms", "gather_ms", "regather_ms", "graze_ms", "walked_ms", "cluster_ms",
           "linger_ms", "early_ms")


def credits(marks: Marks) -> list[Fraction | None]:
    """The credits in order."""
    return [each.credit for each in marks.items]


def heard(manner: Manner) -> dict[int, Window]:
    """A performance that never was a file."""
    return windows(perform(read_form(FORM), manner))


def marked(found: dict[int, Window], limits: Limits = Limits()) -> list[Fraction | None]:
    """The credits of a performance."""
    return credits(mark_form(read_form(FORM), found, limits))


def shifted() -> Iterable[tuple[str, int, Limits]]:
    """Each threshold 2 ms lower and higher."""
    for name in SHIFTED:
        for step in (-2, 2):
            yield name, step, replace(Limits(), **{name: getattr(Limits(), name) + step})


class Performances(unittest.TestCase):
    """Invented students."""

    def setUp(self) -> None:
        folder = tempfile.TemporaryDirectory()
        self.addCleanup(folder.cleanup)
        self.path = Path(folder.name) / "performance.mid"

    def through_file(self, manner: Manner) -> Marks:
        """The marks of a performance written and read."""
        write(perform(read_form(FORM), manner), self.path, manner)
        return mark_files(FORM, self.path)

    def manners(self, seeds: Iterable[int], temperament: str,
                divisions: tuple[str, ...]) -> Iterable[list[Manner]]:
        """Every format and division for each seed."""
        for seed in seeds:
            yield [Manner(seed, temperament, kind, division) for kind in (0, 1) for division in divisions]

    def test_a_perfect_performance_has_full_marks(self) -> None:
        for manner in next(iter(self.manners([1], "perfect", ("ppq", "even", "smpte")))):
            self.assertEqual(self.through_file(manner).total, 100, manner)

    def test_the_same_seed_gives_the_same_file(self) -> None:
        files = []
        for seed in (5, 5, 6):
            self.through_file(Manner(seed))
            files.append(self.path.read_bytes())
        self.assertEqual(files[0], files[1])
        self.assertNotEqual(files[0], files[2])

    def test_formats_and_divisions_do_not_change_the_marks(self) -> None:
        for row in self.manners(range(15), "typical", ("ppq", "even", "smpte")):
            marks = [credits(self.through_file(manner)) for manner in row]
            self.assertEqual(marks, [marks[0]] * len(row), row[0].seed)

    def test_aimed_performances_survive_the_file_to_the_millisecond(self) -> None:
        for row in self.manners(range(15), "edges", ("even", "smpte")):
            exact = marked(heard(row[0]))
            for manner in row:
                self.assertEqual(credits(self.through_file(manner)), exact, manner)

    def test_the_usual_mixture_keeps_2_ms_from_every_threshold(self) -> None:
        for seed in range(30):
            found = heard(Manner(seed))
            usual = marked(found)
            for name, step, limits in shifted():
                self.assertEqual(marked(found, limits), usual, (seed, name, step))

    def test_aimed_performances_tell_every_threshold_apart(self) -> None:
        found = [heard(Manner(seed, "edges")) for seed in range(30)]
        usual = [marked(each) for each in found]
        for name, step, limits in shifted():
            changed = any(marked(each, limits) != before for each, before in zip(found, usual))
            self.assertTrue(changed, (name, step))

    def test_the_usual_mixture_reaches_every_level_and_rule(self) -> None:
        form = read_form(FORM)
        levels, rules = set(), set()
        for seed in range(40):
            for each in mark_form(form, windows(perform(form, Manner(seed)))).items:
                if each.item.kind == "voicing":
                    levels.add(each.level)
                    rules |= {attempt["rule"] for attempt in each.facts["attempts"]}
        self.assertEqual((levels, rules), ({0, 1, 2, 3, 4}, {1, 2, 3, 4, 5}))

    def test_a_result_file_is_compared_with_its_performance(self) -> None:
        marks = self.through_file(Manner(8))
        result = self.path.with_suffix(".toml")
        result.write_text(as_toml(marks), encoding="utf-8")
        self.assertEqual(compare_files(FORM, self.path, result), [])
        data = tomllib.loads(as_toml(marks), parse_float=Decimal)
        data["section"][0]["mark"] += Decimal("0.01")
        self.assertEqual(len(compare(marks, data)), 1)


if __name__ == "__main__":
    unittest.main()

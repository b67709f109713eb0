"""Write the performances that the program's own tests replay, with the marks expected.

    python fixtures.py [--program PATH]

In `tests/fixtures/sittings/crosscheck` each performance (made by perform.py,
written by mido) stands beside a TOML file of the same name: the exam, the
form code, the time factor, and the marks that this marker works out, as exact
fractions. The program is asked for forms only, never for marks.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from compare import CRITERIA, STEPS
from crosscheck import EXAMS, ROOT, form_code, newest_program, run
from forms import read_form
from limits import Limits
from marker import ItemMark, Marks, mark_files
from perform import Manner, perform, write
from runs import RunMark
from voicings import VoicingMark

FOLDER = ROOT / "tests" / "fixtures" / "sittings" / "crosscheck"
PERFORMANCES: tuple[tuple[str, str, int, int, Manner], ...] = (
    ("guide-tones", "perfect", 101, 1, Manner(1, "perfect", 1, "ppq")),
    ("guide-tones", "typical", 2024, 2, Manner(11, "typical", 1, "ppq")),
    ("guide-tones", "edges", 777, 3, Manner(12, "edges", 0, "smpte")),
    ("cross-voicings", "typical", 5, 1, Manner(21, "typical", 0, "ppq")),
    ("cross-voicings", "edges", 6, 2, Manner(22, "edges", 1, "even")),
    ("cross-voicings", "slow", 7, 3, Manner(23, "typical", 1, "even", Fraction(3, 2))),
    ("cross-runs", "typical", 8, 1, Manner(31, "typical", 1, "ppq")),
    ("cross-runs", "edges", 9, 2, Manner(32, "edges", 0, "even")),
    ("cross-runs", "slow", 10, 3, Manner(33, "typical", 0, "smpte", Fraction(3, 2))),
    ("cross-ears", "typical", 11, 1, Manner(41, "typical", 1, "smpte")),
    ("cross-ears", "edges", 12, 2, Manner(42, "edges", 1, "even")),
    ("cross-longer-ears", "typical", 15, 1, Manner(71, "typical", 1, "ppq")),
    ("cross-longer-ears", "edges", 16, 2, Manner(72, "edges", 1, "even")),
    ("cross-figures", "typical", 14, 1, Manner(61, "typical", 1, "ppq")),
    ("cross-practice", "typical", 13, 1, Manner(51, "typical", 0, "even")),
)
"""Exam, name, seed and seat of the form code, how it is played."""


def quoted(items: list[str]) -> str:
    """A list of texts."""
    return "[" + ", ".join(f'"{each}"' for each in items) + "]"


def item_lines(mark: ItemMark) -> list[str]:
    """The exact marks of one item."""
    lines = ["", "[[item]]", f"number = {mark.item.number}", f'credit = "{mark.credit}"']
    if isinstance(mark.detail, VoicingMark):
        captured = mark.detail.captured
        lines += [f"level = {mark.level}", f"attempts = {len(captured.attempts)}"]
        lines += [f"walked = {str(mark.detail.walked).lower()}", f"foreign = {len(captured.foreign)}"]
        lines += [f"grazes = {len(captured.grazes)}"]
    if isinstance(mark.detail, RunMark):
        detail = mark.detail
        criteria = [f'"{CRITERIA.get(name, name)} {each}"' for name, each in detail.criteria.items()]
        lines += [f"criteria = [{', '.join(criteria)}]"]
        lines += [f"harmony = {quoted([STEPS[each] for each in detail.harmony])}"]
        if "voicing" in detail.criteria:
            lines += [f"voicing = {quoted([STEPS[each] for each in detail.voicing])}"]
    return lines


def expected(exam: Path, code: str, manner: Manner, marks: Marks) -> str:
    """All marks of a performance as TOML."""
    lines = ["# Worked out by tests/reference/marker.py; written by tests/reference/fixtures.py.",
             f'exam = "{exam.relative_to(ROOT).as_posix()}"', f'form = "{code}"',
             f"time_factor = {round(manner.factor * 100)}", f'total = "{marks.total}"']
    for section in marks.sections:
        if section.points is not None:
            lines += ["", "[[section]]", f'id = "{section.section}"', f'mark = "{section.mark}"']
    for mark in marks.items:
        lines += item_lines(mark)
    return "\n".join(lines) + "\n"


def main() -> int:
    """Write all of them."""
    parser = argparse.ArgumentParser(description="Write performances and the marks expected of them.")
    parser.add_argument("--program", type=Path, default=newest_program())
    given = parser.parse_args()
    if given.program is None:
        parser.error("expected the program to be built, or --program PATH")
    FOLDER.mkdir(parents=True, exist_ok=True)
    exams = {exam.stem: exam for exam in EXAMS}
    for stem, name, seed, seat, manner in PERFORMANCES:
        exam, code = exams[stem], form_code(seed, seat)
        path = FOLDER / f"{stem}-{name}.mid"
        with tempfile.TemporaryDirectory() as folder:
            form = Path(folder) / "form.toml"
            form.write_text(run(given.program, "form", exam, "--form", code, "--key"), encoding="utf-8")
            write(perform(read_form(form), manner), path, manner)
            marks = mark_files(form, path, replace(Limits(), factor=manner.factor))
        path.with_suffix(".toml").write_text(expected(exam, code, manner, marks), encoding="utf-8")
        print(f"{path.name}: {path.stat().st_size} bytes, {marks.total}")
    return 0


if __name__ == "__main__":
    sys.exit(main())

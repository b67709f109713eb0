"""Sit many forms through the program and through the independent marker.

    python crosscheck.py [--quick | --forms N] [--program PATH]

For each exam the program draws N forms (`form --form CODE --key`); perform.py
invents a performance of each, the program sits it, and compare.py compares
the result with the marks worked out here. Forms, temperaments, file formats,
divisions, time factors and lags follow from the place in the row alone, so that a
run can be repeated. Ends with `N passed, M failed` and exits with 1 if any
form differs.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
import time
import tomllib
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from random import Random

from compare import compare_files
from forms import read_form
from limits import Limits
from perform import Manner, perform, write

ROOT = Path(__file__).resolve().parents[2]
EXAMS = (
    ROOT / "exams" / "guide-tones.toml",
    *sorted((ROOT / "tests" / "fixtures" / "scripts" / "good").glob("cross-*.toml")),
)
SIGNS = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
QUICK, USUAL = 6, 40
"""Forms of each exam."""
SHOWN = 12
"""Differences printed in all."""


@dataclass(frozen=True)
class Sitting:
    """One exam in one form, played in one manner."""

    exam: Path
    code: str
    manner: Manner

    @property
    def name(self) -> str:
        """What is sat, in words."""
        manner = self.manner
        return (f"{self.exam.stem} {self.code}, seed {manner.seed}, {manner.temperament}, "
                f"format {manner.kind}, {manner.division}, time factor {float(manner.factor)}, lag {manner.lag_ms} ms")


def form_code(seed: int, seat: int) -> str:
    """The code of a form: the set's seed in four signs, the seat, a check sign."""
    digits = [seed // 31**place % 31 for place in (3, 2, 1, 0)] + [seat - 1]
    check = (7 + sum(digit * weight for weight, digit in enumerate(digits, 2))) % 31
    signs = "".join(SIGNS[each] for each in [*digits, check])
    return f"{signs[:3]}-{signs[3:]}"


def sittings(exam: Path, count: int) -> list[Sitting]:
    """The row of sittings of one exam."""
    rules = tomllib.loads(exam.read_text(encoding="utf-8")).get("rules", {})
    seats = rules.get("seats", 4)
    chance = Random(f"crosscheck {exam.stem}")
    rows = []
    for place in range(count):
        code = form_code(chance.randrange(31**4), chance.randint(1, seats))
        temperament = "edges" if place % 3 == 1 else "typical"
        divisions = ("even", "smpte") if temperament == "edges" else ("ppq", "even", "smpte")
        division = divisions[place // 3 % len(divisions)]
        factor = Fraction(3, 2) if place % 4 == 3 else Fraction(1)
        lag = (0, 0, 35, 0, -20)[place % 5]
        rows.append(Sitting(exam, code, Manner(place, temperament, place // 2 % 2, division, factor, lag)))
    return rows


def run(program: Path, *arguments: object) -> str:
    """What the program prints; its complaint where it refuses."""
    done = subprocess.run([program, *map(str, arguments)], capture_output=True, text=True, check=False)
    if done.returncode != 0:
        raise RuntimeError(f"{program.name} {arguments[0]}: {done.stderr.strip()}")
    return done.stdout


def differences(program: Path, sitting: Sitting, folder: Path) -> list[str]:
    """Sit one form and compare."""
    form, performance, results = folder / "form.toml", folder / "played.mid", folder / "results"
    manner = sitting.manner
    form.write_text(run(program, "form", sitting.exam, "--form", sitting.code, "--key"), encoding="utf-8")
    write(perform(read_form(form), manner), performance, manner)
    run(program, "sit", sitting.exam, "--performance", performance, "--form", sitting.code,
        "--time-factor", float(manner.factor), "--lag", manner.lag_ms, "--results", results)
    [result] = results.glob("*.toml")
    lines = compare_files(form, performance, result, replace(Limits(), factor=manner.factor, lag_ms=manner.lag_ms))
    result.unlink()
    return lines


def newest_program() -> Path | None:
    """The program as last built."""
    built = [ROOT / "target" / profile / "viva-voicing" for profile in ("debug", "release")]
    return max((path for path in built if path.exists()), key=lambda path: path.stat().st_mtime, default=None)


def check(program: Path, count: int) -> tuple[int, int]:
    """Sit and compare so many forms of each exam; how many agreed and how many did not."""
    passed = failed = shown = 0
    for exam in EXAMS:
        before = passed + failed, failed
        for sitting in sittings(exam, count):
            with tempfile.TemporaryDirectory() as folder:
                try:
                    lines = differences(program, sitting, Path(folder))
                except (RuntimeError, ValueError) as error:
                    lines = [f"{type(error).__name__}: {error}"]
            passed, failed = (passed, failed + 1) if lines else (passed + 1, failed)
            if lines and shown < SHOWN:
                print("\n    ".join([sitting.name, *(line[:400] for line in lines[:4])]))
                shown += 1
        print(f"{exam.stem}: {passed + failed - before[0]} forms, {failed - before[1]} differ", flush=True)
    return passed, failed


def main() -> int:
    """Run the check; 1 if anything differs."""
    parser = argparse.ArgumentParser(description="Compare the program's marks with the independent marker's.")
    parser.add_argument("--quick", action="store_true", help=f"{QUICK} forms of each exam")
    parser.add_argument("--forms", type=int, default=USUAL, help="forms of each exam")
    parser.add_argument("--program", type=Path, default=newest_program())
    given = parser.parse_args()
    if given.program is None:
        parser.error("expected the program to be built, or --program PATH")
    start = time.monotonic()
    passed, failed = check(given.program, QUICK if given.quick else given.forms)
    print(f"{time.monotonic() - start:.0f} s with {given.program}", file=sys.stderr)
    print(f"{passed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())

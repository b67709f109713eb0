"""The figures of the rules, with their defaults.

Times inside the marker are whole tenths of a millisecond.
"""

from __future__ import annotations

import argparse
from dataclasses import dataclass, fields, replace
from fractions import Fraction
from typing import TypeVar

Time = TypeVar("Time", int, Fraction)

TENTHS = 10
"""Tenths in a millisecond."""


@dataclass(frozen=True)
class Limits:
    """Every figure that an exam may change; times in milliseconds."""

    tries: int = 2
    settle_ms: int = 600
    grace: Fraction = Fraction(2)
    closing_ms: int = 1500
    span: int = 12
    graze_velocity: int = 20
    graze_ms: int = 80
    gather_ms: int = 80
    regather_ms: int = 200
    walked_ms: int = 200
    cluster_ms: int = 200
    linger_ms: int = 150
    early_ms: int = 400
    leading_percents: tuple[int, ...] = (125, 175, 250)
    readiness_percents: tuple[int, ...] = (40, 60, 85)
    time_percents: tuple[int, ...] = (5, 8, 13)
    factor: Fraction = Fraction(1)
    lag_ms: int = 0
    graded: bool = True
    complete_by_form: bool = False
    transpose: int = 0


def tenths(milliseconds: Time) -> Time:
    """Milliseconds as tenths, exact."""
    return milliseconds * TENTHS


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Give a command an option for each figure."""
    for field in fields(Limits):
        name = "--" + field.name.replace("_", "-")
        if field.name == "graded":
            parser.add_argument("--practice", dest="graded", action="store_false", default=None)
        elif field.name == "complete_by_form":
            parser.add_argument(name, action="store_true", default=None)
        elif field.name.endswith("_percents"):
            parser.add_argument(name, type=int, nargs=3, default=None)
        else:
            kind = Fraction if field.name in ("grace", "factor") else int
            parser.add_argument(name, type=kind, default=None)


def from_arguments(arguments: argparse.Namespace) -> Limits:
    """The defaults with what the command line changed."""
    given = {field.name: getattr(arguments, field.name) for field in fields(Limits)}
    given = {name: tuple(value) if isinstance(value, list) else value for name, value in given.items()}
    return replace(Limits(), **{name: value for name, value in given.items() if value is not None})

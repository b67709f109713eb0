"""How far the right hand moves through a run."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from fractions import Fraction

from forms import Shape, Voicing
from limits import Limits
from matching import Keys, Played, hand_holds

Matched = tuple[Played, Shape, Voicing]
"""A first sounding that matches: the keys by hand, the shape they have, what was asked."""


def led_ratio(rows: Sequence[Matched | None], limits: Limits) -> Fraction | None:
    """Semitones moved over the least possible; nothing where no neighbouring pair matches.

    One displacement of the whole hand by an octave is free in a run.
    """
    moved, least, saved, pairs = 0, 0, 0, 0
    for before, after in itertools.pairwise(rows):
        if before is None or after is None:
            continue
        start, end = moving_hand(before[0]), moving_hand(after[0])
        plain = distance(start, end)
        free = min(distance(start, tuple(key + step for key in end)) for step in (-12, 0, 12))
        moved, least, pairs = moved + plain, least + least_distance(start, after, limits), pairs + 1
        saved = max(saved, plain - free)
    if pairs == 0:
        return None
    moved -= saved
    if least == 0:
        return Fraction(1) if moved == 0 else Fraction(1000)
    return Fraction(moved, least)


def moving_hand(played: Played) -> Keys:
    """The right hand, or the left where it plays alone."""
    return played.right or played.left


def distance(start: Keys, end: Keys) -> int:
    """Semitones moved, voice by voice.

    Where the hands differ in size, voices of the smaller divide or meet so
    that they move as little as they can; none crosses and none is left out.
    """
    small, large = sorted((start, end), key=len)
    if not small:
        return 0
    if len(small) == len(large):
        return sum(abs(key - other) for key, other in zip(small, large))
    cuts = itertools.combinations(range(1, len(large)), len(small) - 1)
    return min(
        sum(abs(key - other) for key, (low, high) in zip(small, itertools.pairwise((0, *cut, len(large))))
            for other in large[low:high])
        for cut in cuts
    )


def least_distance(start: Keys, after: Matched, limits: Limits) -> int:
    """The smallest movement from these keys to the next asked form."""
    played, shape, voicing = after
    classes = shape.right if played.right else shape.left
    span = limits.span if voicing.span is None else voicing.span
    hands = [
        hand
        for low in range(start[0] - 24, start[0] + 25)
        if low % 12 == classes[0]
        for hand in _placed((low,), classes[1:], voicing.open, span)
    ]
    return min(distance(start, hand) for hand in hands)


def _placed(hand: Keys, classes: tuple[int, ...], is_open: bool, span: int) -> list[Keys]:
    if not classes:
        return [hand] if hand_holds(hand, is_open, span) else []
    gap = (classes[0] - hand[-1]) % 12 or 12
    gaps = range(gap, span + 1, 12) if is_open else [gap]
    return [
        whole
        for step in gaps
        for whole in _placed(hand + (hand[-1] + step,), classes[1:], is_open, span)
    ]

"""Whether a set of keys is an asked voicing."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations, pairwise
from typing import NamedTuple

from forms import Hands, Shape, Voicing
from limits import Limits
from theory import degree_semitones

Keys = tuple[int, ...]


class Played(NamedTuple):
    """Keys that match, split between the hands as inferred from pitch."""

    left: Keys
    right: Keys


def classes_of(keys: Iterable[int]) -> frozenset[int]:
    """The pitch classes of some keys."""
    return frozenset(key % 12 for key in keys)


def match(keys: Iterable[int], voicing: Voicing, limits: Limits, answer: int | None = None,
          register: bool = True) -> Played | None:
    """The keys by hand where they match any answer (or the one given)."""
    shapes = voicing.shapes if answer is None else voicing.shapes_of(answer)
    for shape in shapes:
        played = match_shape(tuple(sorted(keys)), shape, voicing, limits, register)
        if played is not None:
            return played
    return None


def match_shape(keys: Keys, shape: Shape, voicing: Voicing, limits: Limits,
                register: bool = True) -> Played | None:
    """The keys by hand where they match one shape."""
    surplus = len(keys) - len(shape.classes)
    if surplus < 0 or (surplus > 0 and not voicing.doubling):
        return None
    for aside in combinations(keys, surplus):
        kept = tuple(key for key in keys if key not in aside)
        played = _match_exactly(kept, shape, voicing, limits, register)
        if played is not None and _doubles_left(aside, played):
            return played
    return None


def _doubles_left(aside: Keys, played: Played) -> bool:
    octaves = {key + step for key in played.left for step in (-12, 12)}
    ceiling = min(played.right, default=128)
    return all(key in octaves and key < ceiling for key in aside)


def _match_exactly(keys: Keys, shape: Shape, voicing: Voicing, limits: Limits,
                   register: bool) -> Played | None:
    if tuple(key % 12 for key in keys) != shape.classes:
        return None
    played = Played(keys[: len(shape.left)], keys[len(shape.left):])
    span = limits.span if voicing.span is None else voicing.span
    if not all(hand_holds(hand, voicing.open, span) for hand in played):
        return None
    return played if not register or _register_holds(played, shape) else None


def hand_holds(hand: Keys, is_open: bool, span: int) -> bool:
    """Whether one hand keeps to its span and, unless open, to close position."""
    if not hand:
        return True
    gaps = [above - below for below, above in pairwise(hand)]
    return hand[-1] - hand[0] <= span and (is_open or all(gap <= 12 for gap in gaps))


def _register_holds(played: Played, shape: Shape) -> bool:
    whole = played.left + played.right
    found = {"left_lowest": played.left[:1], "right_lowest": played.right[:1], "top": whole[-1:]}
    return all(low <= key <= high for name, (low, high) in shape.register for key in found[name])


def has_exact_classes(keys: Iterable[int], voicing: Voicing) -> bool:
    """Whether the keys sound exactly the pitch classes of an answer."""
    heard = classes_of(keys)
    return any(heard == frozenset(shape.classes) for shape in voicing.shapes)


def has_guide_tones(keys: Iterable[int], voicing: Voicing) -> bool:
    """Whether the symbol's own third and seventh are there, and no other.

    Over a major third, or where the voicing names it, the minor third is a
    sharp nine and no third.
    """
    symbol = voicing.symbol
    heard = {(key - symbol.root) % 12 for key in keys}
    own = {symbol.third} if symbol.seventh is None else {symbol.third, symbol.seventh}
    other = {3, 4, 10, 11} - own
    named = any("#9" in hands.degrees for hands in voicing.hands)
    if symbol.third == 4 or named:
        other.discard(3)
    return own <= heard and not other & heard


def is_neighbour(keys: Iterable[int], voicing: Voicing, limits: Limits) -> bool:
    """Whether the keys are the same form a fourth up or down."""
    row = tuple(sorted(keys))
    return any(
        match_shape(row, shape.moved(step), voicing, limits, register=False) is not None
        for shape in voicing.shapes
        for step in (5, 7)
    )


def rooted(hands: Hands) -> bool:
    """Whether a voicing has a root: its lowest degree is 1."""
    return hands.degrees[:1] == ("1",)


def bass_is_right(keys: Iterable[int], voicing: Voicing) -> bool:
    """Whether the lowest key is the slash bass or the root, where there is one."""
    lowest = min(keys) % 12
    if voicing.symbol.bass is not None:
        return lowest == voicing.symbol.bass
    return lowest == voicing.symbol.root or not rooted(voicing.hands[0])


def is_partly_right(keys: Iterable[int], voicing: Voicing) -> bool:
    """The chord of level 1: only fifths or colour tones are amiss."""
    row = tuple(keys)
    root, symbol = voicing.symbol.root, voicing.symbol
    if not row or not has_guide_tones(row, voicing):
        return False
    kept = {0, symbol.third, symbol.seventh}
    for hands in voicing.hands:
        asked = {degree_semitones(degree) for degree in hands.degrees}
        heard = {(key - root) % 12 for key in row}
        if rooted(hands) and min(row) % 12 != root or 0 in asked - heard:
            continue
        if (asked ^ heard) - kept:
            return True
    return False

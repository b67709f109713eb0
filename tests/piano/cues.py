"""Statistics that say whether something besides the chord gives an answer away.

The statistic is the share of a quantity's variance that the answers explain (eta squared); it is held
against its own distribution when the answers are dealt anew at random. A share that so few dealings
reach that chance does not explain it is a cue.
"""

from __future__ import annotations

import numpy as np

DEALINGS = 5_000
# All comparisons of one run together raise a false alarm once in a hundred runs.
ALARM = 0.01


def share(answers: np.ndarray, values: np.ndarray) -> float:
    """The share of the values' variance that the answers explain, 0 to 1."""
    deviations = values - values.mean()
    whole = float((deviations**2).sum())
    if whole < 1e-12:
        return 0.0
    counts = np.bincount(answers)
    sums = np.bincount(answers, deviations)
    return float((sums[counts > 0] ** 2 / counts[counts > 0]).sum()) / whole


def chance_of(answers: list[str], values: list[float]) -> tuple[float, float]:
    """The share, and how often chance alone reaches it."""
    _, dealt = np.unique(answers, return_inverse=True)
    quantity = np.array(values, float)
    found = share(dealt, quantity)
    random = np.random.default_rng(440)
    reached = sum(share(random.permutation(dealt), quantity) >= found - 1e-12 for _ in range(DEALINGS))
    return found, (1 + reached) / (DEALINGS + 1)


def drift(values: list[float]) -> tuple[float, float]:
    """The correlation of a quantity with its place in the order, and how often chance reaches it."""
    places = np.arange(len(values), dtype=float)
    quantity = np.array(values, float)
    if np.ptp(quantity) < 1e-12:
        return 0.0, 1.0
    found = float(np.corrcoef(places, quantity)[0, 1])
    random = np.random.default_rng(440)
    reached = sum(abs(np.corrcoef(places, random.permutation(quantity))[0, 1]) >= abs(found) - 1e-12 for _ in range(DEALINGS))
    return found, (1 + reached) / (DEALINGS + 1)

"""Hear whether the piano is in tune: all 88 keys within 2 cents of ISO 16:1975, A4 = 440 Hz.

    check_tuning.py PITCHES.csv KEYS_DIR

KEYS_DIR holds `021.wav` to `108.wav` as `cargo run --example keys KEYS_DIR` writes them; PITCHES.csv
gives each key's frequency in equal temperament (tests/fixtures/reference/pitch_12tet_a440.csv).

How the pitch is measured. A string is stiff, so that its partials lie above the multiples of the
first: partial n sounds at n * f * sqrt(1 + B * n^2) (Fletcher, Blackham and Stratton, 1962; from memory). A
partial's frequency is the peak of the power spectrum of the two seconds that an ear item's chord is
held, the powers of the two sides added: their sounds may cancel, their powers do not. Of a low key
the first partials are weak, so that f and B are fitted to the first twelve by their strength,
robustly; the pitch is that of the first partial, f * sqrt(1 + B), as for a tuner who matches
fundamentals. The strings of a key beat, so that a shorter window of a high key reads up to three
cents otherwise. Only the sounds are read: nothing here knows how they were made. Ends with
`N passed, M failed`.
"""

from __future__ import annotations

import csv
import pathlib
import sys

import numpy as np
from scipy.optimize import least_squares

from hearing import read_wav

RATE = 48_000
LIMIT = 2.0
PARTIALS = 12
# The knock of the hammer is over.
BEGIN = RATE // 20
# As long as a chord of an ear item is held.
LENGTH = 2 * RATE
SIZE = 8 * LENGTH
SPACING = RATE / SIZE


def cents(frequency: float, reference: float) -> float:
    return 1200 * float(np.log2(frequency / reference))


def partial(power: np.ndarray, guess: float) -> tuple[float, float]:
    """A partial's frequency and strength: the peak of the spectrum near by, between its bins."""
    width = guess * (2 ** (45 / 1200) - 1)
    low, high = (int(round((guess + side * width) / SPACING)) for side in (-1, 1))
    peak = low + int(np.argmax(power[low : high + 1]))
    below, here, above = np.log(power[peak - 1 : peak + 2] + 1e-30)
    between = 0.5 * (below - above) / (below - 2 * here + above)
    return (peak + between) * SPACING, float(np.sqrt(power[peak]))


def pitch(power: np.ndarray, key: int, reference: float) -> tuple[float, float]:
    """The frequency of the first partial and the inharmonicity B."""
    numbers, found, strengths = [], [], []
    stretch = 1e-4 if key < 70 else 3e-4
    for number in range(1, PARTIALS + 1):
        guess = number * reference * np.sqrt(1 + stretch * number**2)
        if guess > 10_000:
            break
        frequency, strength = partial(power, guess)
        numbers.append(number)
        found.append(frequency)
        strengths.append(strength)
    numbers, found, strengths = (np.array(values, float) for values in (numbers, found, strengths))
    loud = strengths > strengths.max() * 10 ** (-35 / 20)
    numbers, found = numbers[loud], found[loud]
    weights = np.sqrt(strengths[loud] / strengths.max())

    def off(guess: np.ndarray) -> np.ndarray:
        model = numbers * guess[0] * np.sqrt(1 + guess[1] * numbers**2)
        return weights * 1200 * np.log2(model / found)

    fit = least_squares(
        off,
        [reference, 1e-4],
        loss="soft_l1",
        f_scale=2,
        x_scale=[reference * 1e-3, 1e-4],
        bounds=([reference * 0.96, 0], [reference * 1.04, 5e-2]),
    )
    return fit.x[0] * np.sqrt(1 + fit.x[1]), fit.x[1]


def main(arguments: list[str]) -> int:
    with open(arguments[0], newline="") as file:
        references = {int(row["midi"]): float(row["hz"]) for row in csv.DictReader(file)}
    off = {}
    for key in range(21, 109):
        sides = read_wav(pathlib.Path(arguments[1]) / f"{key:03}.wav").T
        sides = sides[:, BEGIN : BEGIN + LENGTH] * np.hanning(LENGTH)
        power = (np.abs(np.fft.rfft(sides, SIZE)) ** 2).sum(axis=0)
        frequency, stiffness = pitch(power, key, references[key])
        off[key] = cents(frequency, references[key])
        if "-v" in arguments:
            print(f"key {key}: {off[key]:+.2f} cents, B {stiffness:.1e}")
        if abs(off[key]) > LIMIT:
            print(f"FAILED key {key}: {off[key]:+.2f} cents, more than {LIMIT}")
    failed = sum(abs(value) > LIMIT for value in off.values())
    worst = max(off, key=lambda key: abs(off[key]))
    median = float(np.median(np.abs(list(off.values()))))
    print(f"tuning: {median:.2f} cents off in the middle, at worst {off[worst]:+.2f} at key {worst}")
    print(f"{len(off) - failed} passed, {failed} failed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

"""Ears for the checks: which keys sound in a stretch of sound, and when something is struck.

Independent of the program's synthesis: the spectrum of each key is made here from the SoundFont's
samples alone, and a sound is taken apart as a non-negative mixture of them (scipy's NNLS).
"""

from __future__ import annotations

import pathlib
import wave

import numpy as np
from scipy.ndimage import uniform_filter1d
from scipy.optimize import nnls
from scipy.signal import butter, sosfilt

from sfdump import gens, parse

RATE = 48_000
BINS = slice(25, 5000)
# A key sounds if it has so much of the strongest one's share. Over the sounds of the tests the keys
# asked have 0.6 and more, all others 0.1 and less.
THRESHOLD = 0.3
# What is compared is each bin against its surroundings, so that a key that is doubled an octave
# below, whose first partials drown, is known by its upper ones: strings are stiff, and the two do
# not coincide there.
SURROUNDINGS = 400
# The first so many frames after a strike are the hammer's knock and the rest of what was before.
KNOCK = RATE // 20
# A strike makes the sound above 1.5 kHz so many times as strong within 10 ms.
RISE = 3.0


def read_wav(path: pathlib.Path) -> np.ndarray:
    """The frames of a WAV file, left and right, within 1."""
    with wave.open(str(path)) as file:
        assert file.getframerate() == RATE and file.getnchannels() == 2
        raw = file.readframes(file.getnframes())
    return np.frombuffer(raw, dtype="<i2").astype(float).reshape(-1, 2) / 32767


def samples_of_keys(font: str) -> dict[int, list[tuple[np.ndarray, float]]]:
    """For each key the samples that sound it, left and right, each with its speed of playback."""
    data, places, tables = parse(font)
    offset, length = places["smpl"]
    pcm = np.frombuffer(data[offset : offset + length], dtype="<i2").astype(float) / 32768
    found: dict[int, list[tuple[float, np.ndarray, float]]] = {}
    common: dict = {}
    first, last = tables["inst"][0][1], tables["inst"][1][1]
    for zone in range(first, last):
        start, end = tables["ibag"][zone][0], tables["ibag"][zone + 1][0]
        zone_gens = {**common, **gens(tables["igen"][start:end])}
        if "sample" not in zone_gens:
            common = zone_gens
            continue
        low_velocity, high_velocity = zone_gens.get("vel", (0, 127))
        if not low_velocity <= 80 <= high_velocity:
            continue
        header = tables["shdr"][zone_gens["sample"]]
        root = zone_gens.get("rootKey", header[6])
        low, high = zone_gens.get("key", (0, 127))
        for key in range(max(low, 21), min(high, 108) + 1):
            cents = 100 * (key - root + zone_gens.get("coarse", 0))
            cents += zone_gens.get("fine", 0) + header[7]
            speed = header[5] / RATE * 2 ** (cents / 1200)
            sample = pcm[header[1] : header[2]]
            found.setdefault(key, []).append((zone_gens.get("pan", 0), sample, speed))
    # Panned left comes first.
    return {key: [side[1:] for side in sorted(sides, key=lambda side: side[0])] for key, sides in found.items()}


class Ears:
    """Knows how each key sounds, for any length of listening."""

    def __init__(self, font: str) -> None:
        places = np.arange(2 * RATE)
        self.keys = [
            np.array([np.interp(places * speed, np.arange(len(sample)), sample, right=0.0) for sample, speed in sides]).T
            for key, sides in sorted(samples_of_keys(font).items())
        ]
        assert len(self.keys) == 88 and all(key.shape[1] == 2 for key in self.keys), "a piano in stereo"
        self.spectra: dict[int, np.ndarray] = {}

    def shares(self, frames: np.ndarray, begin: int, end: int) -> np.ndarray:
        """Each key's share in what sounds between two frames, the knock left out."""
        length = min(RATE, end - begin - KNOCK)
        if length not in self.spectra:
            self.spectra[length] = np.array([spectrum(key, 0, length) for key in self.keys]).T
        heard = spectrum(frames, begin, length)
        around = np.concatenate([uniform_filter1d(side, SURROUNDINGS) for side in np.split(heard, 2)])
        weights = 1 / (around + 0.01 * around.max())
        shares, _ = nnls(self.spectra[length] * weights[:, None], heard * weights)
        return shares

    def heard(self, frames: np.ndarray, begin: int, end: int) -> list[int]:
        """The keys that sound between two frames."""
        shares = self.shares(frames, begin, end)
        return [21 + int(i) for i in np.nonzero(shares > THRESHOLD * shares.max())[0]]


def spectrum(frames: np.ndarray, begin: int, length: int) -> np.ndarray:
    """The magnitudes of both sides, one after the other, in steps of 1 Hz."""
    piece = frames[begin + KNOCK : begin + KNOCK + length]
    piece = np.pad(piece, ((0, length - len(piece)), (0, 0))) * np.hanning(length)[:, None]
    return np.abs(np.fft.rfft(piece, RATE, axis=0))[BINS].T.ravel()


def strikes(frames: np.ndarray) -> list[float]:
    """When something is struck, in ms: where the sound above 1.5 kHz grows at once."""
    high = sosfilt(butter(4, 1500, "highpass", fs=RATE, output="sos"), frames, axis=0)
    power = np.concatenate([[0.0], np.cumsum((high**2).sum(axis=1))])
    span = RATE // 100
    at = np.arange(0, len(frames) - span, RATE // 2000)
    before = power[at] - power[np.maximum(at - span, 0)]
    after = power[at + span] - power[at]
    rise = (after + 1e-7) / (before + 1e-7)
    found: list[float] = []
    for place in np.argsort(-rise):
        if rise[place] < RISE:
            break
        time = float(at[place]) * 1000 / RATE
        if all(abs(time - other) > 50 for other in found):
            found.append(time)
    return sorted(found)

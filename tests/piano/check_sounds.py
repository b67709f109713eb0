"""Hear what was rendered: which keys sound in each WAV file, how loud, and is loudness a cue?

    check_sounds.py FONT.sf2 FORM_WITH_KEY.toml SOUNDS_DIR [...more pairs of form and folder]

Independent of the program's synthesis: the spectrum of each key is made here from the SoundFont's
samples, and a sound is taken apart as a non-negative mixture of them (scipy's NNLS). Checks that the
keys found are those that the form's answer key says, that levels before roving agree within 1 dB in
a section, that no sample is above -1 dBFS, and that the roved level is not correlated with the
answer. Ends with `N passed, M failed`.
"""

from __future__ import annotations

import pathlib
import sys
import tomllib
import wave

import numpy as np
from scipy.optimize import nnls

from sfdump import gens, parse

RATE = 48_000
WINDOW = RATE  # one second
BINS = slice(25, 5000)
THRESHOLD = 0.05


def samples_of_keys(font: str) -> dict[int, list[tuple[np.ndarray, float]]]:
    """For each key the samples that sound it, each with its speed of playback at RATE."""
    data, places, tables = parse(font)
    offset, length = places["smpl"]
    pcm = np.frombuffer(data[offset : offset + length], dtype="<i2").astype(float) / 32768
    found: dict[int, list[tuple[np.ndarray, float]]] = {}
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
            found.setdefault(key, []).append((pcm[header[1] : header[2]], speed))
    return found


def spectrum(mono: np.ndarray) -> np.ndarray:
    """The magnitude spectrum of one second from 50 ms after the onset."""
    loud = np.nonzero(np.abs(mono) > 1e-4)[0]
    start = int(loud[0] if len(loud) else 0) + RATE // 20
    piece = mono[start : start + WINDOW]
    piece = np.pad(piece, (0, WINDOW - len(piece))) * np.hanning(WINDOW)
    return np.abs(np.fft.rfft(piece))[BINS]


def key_spectra(font: str) -> np.ndarray:
    """One column a key from 21 to 108, of unit length."""
    columns = []
    for key, samples in sorted(samples_of_keys(font).items()):
        mono = np.zeros(2 * RATE)
        for sample, speed in samples:
            places = np.arange(2 * RATE) * speed
            mono += np.interp(places, np.arange(len(sample)), sample, right=0.0)
        column = spectrum(mono)
        columns.append(column / np.linalg.norm(column))
        assert key == 20 + len(columns), "the font has every key of the piano"
    return np.array(columns).T


def keys_in(mono: np.ndarray, spectra: np.ndarray) -> list[int]:
    """The keys that sound, by their share in the best mixture."""
    weights, _ = nnls(spectra, spectrum(mono))
    return [21 + int(i) for i in np.nonzero(weights > THRESHOLD * weights.max())[0]]


def read_wav(path: pathlib.Path) -> np.ndarray:
    with wave.open(str(path)) as file:
        assert file.getframerate() == RATE and file.getnchannels() == 2
        raw = file.readframes(file.getnframes())
    return np.frombuffer(raw, dtype="<i2").astype(float).reshape(-1, 2) / 32767


def decibels(value: float) -> float:
    return 20 * float(np.log10(max(value, 1e-12)))


def main(arguments: list[str]) -> int:
    spectra = key_spectra(arguments[0])
    passed = failed = 0
    levels: dict[str, list[float]] = {}
    roves: dict[str, list[tuple[str, float]]] = {}

    def check(fine: bool, message: str) -> None:
        nonlocal passed, failed
        passed, failed = passed + fine, failed + (not fine)
        if not fine:
            print("FAILED", message)

    for form_path, folder in zip(arguments[1::2], arguments[2::2]):
        form = tomllib.loads(pathlib.Path(form_path).read_text())
        items = {item["number"]: item for item in form["item"] + form.get("reserve", [])}
        index = tomllib.loads((pathlib.Path(folder) / "index.toml").read_text())
        for sound in index["sound"]:
            item = items[sound["item"]]
            frames = read_wav(pathlib.Path(folder) / sound["file"])
            name = f"{form['form']} item {sound['item']}"
            held = max(strike["at_ms"] + strike["held_ms"] for strike in item["sound"])
            level = decibels(np.sqrt(np.mean(frames[: int(held * RATE / 1000)] ** 2)))
            levels.setdefault(item["section"], []).append(level - sound["rove_db"])
            roves.setdefault(item["section"], []).append((item["answers"][0], sound["rove_db"]))
            check(decibels(np.abs(frames).max()) <= -0.99, f"{name}: peak")
            last = item["sound"][-1]
            begin = int(last["at_ms"] * RATE / 1000)
            heard = keys_in(frames[begin:].mean(axis=1), spectra)
            check(heard == sorted(last["keys"]), f"{name}: heard {heard}, key says {last['keys']}")

    for section, values in levels.items():
        spread = max(values) - min(values)
        check(spread <= 1.0, f"section {section}: levels before roving {spread:.2f} dB apart")
        print(f"section {section}: {len(values)} sounds, {spread:.2f} dB apart before roving")
    for section, pairs in roves.items():
        answers = sorted({answer for answer, _ in pairs})
        whole = np.array([rove for _, rove in pairs])
        groups = [[rove for answer, rove in pairs if answer == name] for name in answers]
        between = sum(len(group) * (np.mean(group) - whole.mean()) ** 2 for group in groups)
        share = between / max(((whole - whole.mean()) ** 2).sum(), 1e-9)
        # By chance alone the share is about (answers - 1) / (sounds - 1); four times that is a cue.
        bound = 4 * (len(answers) - 1) / max(len(pairs) - 1, 1)
        check(share <= bound, f"section {section}: the level tells {share:.2f} of the answer")
        print(f"section {section}: level explains {share:.3f} of the answer (bound {bound:.3f})")
    print(f"{passed} passed, {failed} failed")
    return 1 if failed or not passed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

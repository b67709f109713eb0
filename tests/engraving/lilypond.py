"""Asks LilyPond where it sets the heads and accidentals of chords, and writes a table of it.

Made with LilyPond 2.24.1 (Debian package lilypond) by `python3 tests/engraving/lilypond.py`.
The table is kept so that the tests need no LilyPond. Chords are whole notes on an upward stem
(without a stem, LilyPond would put heads in low chords one way and in high chords the other), each
accidental shown whatever came before.
"""

import csv
import re
import subprocess
import sys
import tempfile
from pathlib import Path

TABLE = Path(__file__).parent.parent / "fixtures/reference/lilypond_chords.csv"

# Clef, octaves of the sign (1 is 8va), notes from low to high.
CHORDS = """
bass 0 Bb2 F3
treble 0 D4 Ab4
bass 0 Eb3 Bb3
treble 0 Db4 F4 G4
treble 0 Db4 Gb4
treble 0 C4 Gb4
bass 0 Ab2 Eb3
treble 0 Gb4 C5
treble 0 F#4 A#4 C#5 E5
treble 0 Bb4 D5 E5 G5
treble 0 B4 C5
treble 0 E4 F4
treble 0 C4 D4 E4
treble 0 C4 D4 E4 F4
treble 0 C4 D4 E4 F4 G4
treble 0 C4 D4 F4 G4
treble 0 C#4 D#4
treble 0 Db4 Eb4
treble 0 Db4 Eb4 F4
treble 0 Db4 Eb4 Gb4 Ab4
treble 0 C#4 D4 E#4 F#4 G#4 A4
treble 0 C#4 E4 G#4
treble 0 C#4 E#4 G#4
treble 0 C#4 E#4 G#4 B#4
treble 0 Cb4 Eb4 Gb4 Bb4
treble 0 Db4 F4 Ab4 Cb5
treble 0 Gb4 Bb4 Db5 F5
treble 0 Gb4 Bb4 Eb5 Ab5
treble 0 Bb3 D4 Gb4 Bb4
treble 0 F#4 C#5 F#5
treble 0 Eb4 Ab4 Eb5
treble 0 Bb3 Eb4 Ab4 Db5 Gb5
treble 0 B#3 D#4 F#4 A#4 C#5 E#5
treble 0 F##4 A##4 C##5
treble 0 F##4 A##4 C##5 E#5
treble 0 Ebb4 Gb4 Bbb4
treble 0 Cb4 Ebb4 Gbb4
treble 0 F#4 Bb4
treble 0 Bb4 C#5
treble 0 Eb4 F#4 A4
treble 0 Ab4 Bb4 D5
treble 0 E4 F#4 Bb4 C#5
treble 0 G3 A3 B3 C4
treble 0 E3 Bb3
treble 0 A5 B5 C6
treble 0 Ab5 Cb6 Db6
treble 0 C6 D6 E6
treble 0 A3 F#5
treble 0 Db4 Bb5
treble 0 Eb4 C#5 Bb5
treble 0 G#4 A4 B4 C#5
treble 0 Gb4 Ab4 Bb4 C5 Db5
bass 0 C2 Eb2
bass 0 Db2 Eb2 Gb2
bass 0 E2 F2
bass 0 F#2 A#2 C#3 E3
bass 0 Gb2 Bbb2 Dbb3
bass 0 C#2 G#2
bass 0 C4 D4 E4
bass 0 Bb3 C4 Eb4
bass 0 G2 A2 B2 D3
bass 0 Eb2 F2 Gb2 Ab2
bass 0 Bb1 F2 Bb2
bass 0 F#3 G#3 B3 C#4
treble 1 G6 B6
treble 1 Ab6 Bb6 C7
treble 2 F7 C8
treble 2 Gb7 Bb7
bass -1 A0 E1
bass -1 Bb0 C1 Gb1
""".strip().splitlines()

ALTERATIONS = {"": "", "b": "es", "bb": "eses", "#": "is", "##": "isis"}
PRINT = r"""
\version "2.24.0"
#(define (step head) (+ 4 (ly:grob-property head 'staff-position)))
#(define (number grob) (assoc-get 'chord (ly:grob-property grob 'details) -1))
#(define ((say kind head-of) grob)
  (let* ((system (ly:grob-system grob))
         (x (+ (ly:grob-relative-coordinate grob system X)
               (car (ly:grob-extent grob grob X))))
         (width (interval-length (ly:grob-extent grob grob X))))
   (format #t "~a ~a ~a ~a ~a\n" kind (number grob) (step (head-of grob)) x width)))
\paper { ragged-right = ##f  system-count = #SYSTEMS }
\layout { \context { \Staff \accidentalStyle forget } }
"""


def written(note):
    """A note in LilyPond's own language, absolute: c' is middle C."""
    letter, signs, octave = re.fullmatch(r"([A-G])(b*|#*)(\d)", note).groups()
    octave = int(octave) - 3
    return letter.lower() + ALTERATIONS[signs] + ("'" * octave if octave > 0 else "," * -octave)


def source():
    lines = [PRINT.replace("#SYSTEMS", f"#{len(CHORDS) // 4}"), "{ \\stemUp"]
    for number, chord in enumerate(CHORDS):
        clef, octaves, *notes = chord.split()
        lines.append(
            f"\\clef {clef} \\ottava #{octaves} "
            f"\\once \\override NoteHead.details.chord = #{number} "
            f"\\once \\override Accidental.details.chord = #{number} "
            "\\once \\override NoteHead.after-line-breaking = #(say 'head identity) "
            "\\once \\override Accidental.after-line-breaking = "
            "#(say 'sign (lambda (grob) (ly:grob-parent grob Y))) "
            f"<{' '.join(written(note) for note in notes)}>1 \\ottava #0"
        )
    return "\n".join([*lines, "}"]).replace("identity", "(lambda (grob) grob)")


def asked(text):
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "chords.ly"
        path.write_text(text)
        done = subprocess.run(
            ["lilypond", "--silent", "-dbackend=svg", str(path)],
            capture_output=True,
            text=True,
            check=True,
            cwd=folder,
        )
    return done.stdout.splitlines()


def main():
    heads, signs = {}, {}
    for line in asked(source()):
        kind, number, step, x, width = line.split()
        place = (int(step), float(x), float(width))
        {"head": heads, "sign": signs}[kind].setdefault(int(number), []).append(place)

    with TABLE.open("w", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["clef", "octaves", "notes", "heads", "accidentals"])
        for number, chord in enumerate(CHORDS):
            clef, octaves, *notes = chord.split()
            own = sorted(heads[number])
            assert len(own) == len(notes), chord
            left = min(x for _, x, _ in own)
            columns = [(step, round((x - left) / width)) for step, x, width in own]
            beside = sorted(signs.get(number, []))
            out.writerow(
                [
                    clef,
                    octaves,
                    " ".join(notes),
                    " ".join(f"{step}:{column}" for step, column in columns),
                    " ".join(f"{step}:{x - left:.2f}" for step, x, _ in beside),
                ]
            )


if __name__ == "__main__":
    sys.exit(main())

"""A keyboard on JACK that is independent of the project: python-rtmidi and mido, told what to do line by line.

    open            becomes a client `rtkeys` with an output port `Keys`      -> OPENED us us
    close           leaves                                                    -> CLOSED us us
    chords N MS K.. strikes and releases the chord of keys K N times, about MS apart
    burst N         strikes N keys as fast as it can
    strike K V      strikes a key
    release K       releases a key
    load PATH       reads a performance with markers `item N`
    item N US       begins to play the keys of that item so many microseconds later, until it is over or told otherwise

`chords` to `release` print `SEND us key velocity` for each strike, then DONE. Times are microseconds of
CLOCK_MONOTONIC_RAW, taken just before the deed; coming and leaving, which take a while, also just after. Velocities count 1 to 127 and begin again.
"""

import random
import sys
import threading
import time

import mido
import rtmidi


def clock():
    return time.clock_gettime_ns(time.CLOCK_MONOTONIC_RAW) // 1000


def say(*words):
    print(*words, flush=True)


class Keys:
    def __init__(self):
        self.port = None
        self.sent = []
        self.velocity = 0
        self.random = random.Random(1)
        self.items = {}
        self.playing = None
        self.over = threading.Event()

    def open(self):
        at = clock()
        self.port = rtmidi.MidiOut(rtapi=rtmidi.API_UNIX_JACK, name="rtkeys")
        self.port.open_virtual_port("Keys")
        say("OPENED", at, clock())

    def close(self):
        self.rest()
        at = clock()
        self.port.close_port()
        self.port.delete()
        self.port = None
        say("CLOSED", at, clock())

    def strike(self, key, velocity=None):
        if velocity is None:
            self.velocity = self.velocity % 127 + 1
            velocity = self.velocity
        self.sent.append((clock(), key, velocity))
        self.port.send_message([0x90, key, velocity])

    def release(self, key):
        self.port.send_message([0x80, key, 64])

    def chords(self, number, apart_ms, *keys):
        for _ in range(number):
            for key in keys:
                self.strike(key)
            time.sleep(apart_ms / 1e3 * self.random.uniform(0.3, 1.0))
            for key in keys:
                self.release(key)
            time.sleep(apart_ms / 1e3 * self.random.uniform(0.1, 0.6))
        self.done()

    def burst(self, number):
        for place in range(number):
            self.strike(21 + place % 88)
        self.done()

    def load(self, *path):
        """Each item's key messages, with their time in seconds since its marker."""
        now, zero, item = 0.0, 0.0, None
        for message in mido.MidiFile(" ".join(path)):
            now += message.time
            if message.type == "marker" and message.text.startswith("item "):
                zero, item = now, int(message.text.split()[1])
                self.items[item] = []
            elif item is not None and message.type in ("note_on", "note_off", "control_change"):
                self.items[item].append((now - zero, message.bytes()))
        say("DONE")

    def item(self, number, late_us=0):
        begun = time.monotonic() + late_us / 1e6
        self.rest()
        self.over.clear()
        self.playing = threading.Thread(target=self.play, args=(begun, self.items.get(number, [])))
        self.playing.start()

    def play(self, begun, messages):
        for at, message in messages:
            if self.over.wait(max(0.0, begun + at - time.monotonic())):
                break
            self.port.send_message(message)

    def rest(self):
        """What was being played is over."""
        self.over.set()
        if self.playing is not None:
            self.playing.join()
            self.playing = None

    def done(self):
        print(*(f"SEND {at} {key} {velocity}\n" for at, key, velocity in self.sent), sep="", end="")
        self.sent.clear()
        say("DONE")


def main():
    keys = Keys()
    say("READY")
    for line in sys.stdin:
        verb, *numbers = line.split()
        if verb != "load":
            numbers = [int(number) for number in numbers]
        getattr(keys, verb)(*numbers)
        if verb in ("strike", "release"):
            keys.done()
    keys.rest()


main()

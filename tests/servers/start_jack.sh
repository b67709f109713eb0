#!/bin/sh
# start_jack.sh DIR NAME: a JACK server without hardware, of that name, 64 frames at 48 kHz.
#
# Writes DIR/jack.pid and DIR/jack.log, and ends with 0 as soon as clients can come. Where the
# machine gives no real-time threads it runs without. Clients need the same three variables.
export JACK_DEFAULT_SERVER="$2" JACK_NO_START_SERVER=1 JACK_NO_AUDIO_RESERVATION=1

start() {
    jackd -n "$2" "$3" -S -d dummy -r 48000 -p 64 >"$1/jack.log" 2>&1 &
    echo $! >"$1/jack.pid"
    jack_wait -w -t 5 >/dev/null 2>&1
}

start "$1" "$2" -R && exit 0
kill "$(cat "$1/jack.pid")" 2>/dev/null
start "$1" "$2" -r

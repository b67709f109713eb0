#!/bin/bash
# start_pulse.sh DIR: a private PulseAudio without hardware, with one null sink "exam". It writes DIR/pulse.pid and
# DIR/pulse.sock and returns when the socket is there. Packages: pulseaudio pulseaudio-utils libasound2-plugins.
# Clients: export PULSE_SERVER=unix:DIR/pulse.sock
# Record: parec --raw --device=exam.monitor --rate=48000 --channels=2 --format=float32le --latency-msec=20 > out.f32
# End it: kill "$(cat DIR/pulse.pid)"
set -e
dir=$(realpath "$1"); here=$(dirname "$(realpath "$0")")
export HOME=$dir XDG_RUNTIME_DIR=$dir
sed "s#SOCKET#$dir/pulse.sock#" "$here/pulse.pa" > "$dir/pulse.pa"; rm -f "$dir/pulse.sock"
# norewinds in pulse.pa matters: a rewound null sink gives its monitor some frames twice.
pulseaudio -n --daemonize=no --exit-idle-time=-1 --use-pid-file=no --disable-shm=yes --log-target=stderr \
    -F "$dir/pulse.pa" > "$dir/pulse.log" 2>&1 &
echo $! > "$dir/pulse.pid"
for _ in $(seq 100); do [ -S "$dir/pulse.sock" ] && exit 0; sleep 0.1; done
echo "the sound server did not start:" >&2; cat "$dir/pulse.log" >&2
exit 1

#!/bin/sh
# opens.sh TITLE: waits until the kiosk's window says so in its title, for half a minute at most.
for _ in $(seq 300); do
    title="$(xdotool search --name '^Viva Voicing' getwindowname 2>/dev/null)"
    case "$title" in
    *"$1"*) echo "open: $title" && exit 0 ;;
    esac
    sleep 0.1
done
echo "expected a window that says $1, found: $title" >&2
exit 1

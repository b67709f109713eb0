#!/bin/sh
# start_cups.sh DIR PORT: a printing service on 127.0.0.1:PORT with two printers and no paper.
#
# "practice" is the usual one and keeps each job as DIR/kept/JOB; "paused" takes jobs and prints
# none. Writes DIR/cups.pid and DIR/cups.log, and ends with 0 as soon as clients can come. All
# that it needs lies in DIR: its own back end, file types and printers.
set -e
dir="$1" port="$2"
mkdir -p "$dir/bin/backend" "$dir/bin/filter" "$dir/bin/daemon" "$dir/bin/notifier" "$dir/bin/monitor" \
    "$dir/server/ppd" "$dir/data/mime" "$dir/state/certs" "$dir/cache" "$dir/spool/tmp" "$dir/kept"
chmod 755 "$dir"
# The back end may run under another account.
chmod 777 "$dir/kept"

cat >"$dir/bin/backend/keep" <<'BACKEND'
#!/bin/sh
# job, user, title, copies, options, file: keeps the file under the job's number.
[ $# -gt 0 ] || { echo 'direct keep "Unknown" "Keeps jobs"'; exit 0; }
to="${DEVICE_URI#keep:}/$1"
if [ $# -gt 5 ]; then cat "$6"; else cat; fi >"$to.part"
mv "$to.part" "$to"
BACKEND
chmod 755 "$dir/bin/backend/keep"
# The service runs its back ends by way of this program of its own.
for exec in /usr/lib/cups/daemon/cups-exec /usr/libexec/cups/daemon/cups-exec; do
    [ ! -x "$exec" ] || cp "$exec" "$dir/bin/daemon/"
done

echo 'application/pdf pdf string(0,%PDF)' >"$dir/data/mime/viva.types"
: >"$dir/data/mime/viva.convs"

cat >"$dir/server/printers.conf" <<PRINTERS
<DefaultPrinter practice>
DeviceURI keep:$dir/kept
State Idle
Accepting Yes
Shared No
</DefaultPrinter>
<Printer paused>
DeviceURI keep:$dir/kept
State Stopped
StateMessage Out of paper
Accepting Yes
Shared No
</Printer>
PRINTERS

cat >"$dir/cupsd.conf" <<CONF
Listen 127.0.0.1:$port
Browsing Off
DefaultAuthType None
WebInterface No
LogLevel debug
MaxLogSize 0
<Location />
Order allow,deny
Allow all
</Location>
<Policy default>
<Limit All>
Order deny,allow
</Limit>
</Policy>
CONF

user=$(id -un) group=$(id -gn)
# A back end never runs as root.
[ "$(id -u)" -ne 0 ] || { user=lp; group=lp; }
cat >"$dir/cups-files.conf" <<CONF
User $user
Group $group
SystemGroup root
ServerRoot $dir/server
ServerBin $dir/bin
DataDir $dir/data
StateDir $dir/state
CacheDir $dir/cache
RequestRoot $dir/spool
TempDir $dir/spool/tmp
AccessLog $dir/access.log
ErrorLog $dir/cups.log
PageLog $dir/page.log
CONF

cupsd -f -c "$dir/cupsd.conf" -s "$dir/cups-files.conf" >"$dir/cupsd.out" 2>&1 &
echo $! >"$dir/cups.pid"
for _ in $(seq 100); do
    if CUPS_SERVER="127.0.0.1:$port" lpstat -r 2>/dev/null | grep -q 'is running'; then exit 0; fi
    sleep 0.1
done
kill "$(cat "$dir/cups.pid")" 2>/dev/null || true
cat "$dir/cupsd.out" >&2
exit 1

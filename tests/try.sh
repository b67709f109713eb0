#!/usr/bin/env bash
# The whole procedure as a user goes through it, in a temporary folder: each command with its
# output. Ends with an error where anything is not as it must be.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
exec </dev/null 3>&1

cargo build --release --quiet
program="$(pwd)/${CARGO_TARGET_DIR:-target}/release/viva-voicing"
[[ ${CARGO_TARGET_DIR:-} != /* ]] || program="$CARGO_TARGET_DIR/release/viva-voicing"
room="$(mktemp -d)"
trap 'rm -rf "$room"' EXIT
cp -R exams "$room/"
cd "$room"

# Shows a command and runs it.
run() {
    printf '\n$ %s\n' "$*" >&3
    "$@"
}

viva-voicing() {
    "$program" "$@"
}

# A command that must find fault: it ends with 1.
refused() {
    local code=0
    run "$@" || code=$?
    [[ $code -eq 1 ]] || fail "expected the command to end with 1, it ended with $code"
}

fail() {
    echo "try.sh: $*" >&2
    exit 1
}

# Keeps the marks of a result: the total, each section's and each item's, with the reasons.
marks() {
    grep -E '^(number|id|level|credit|mark|out_of|percent|band|passed|reasons) = ' "$1" >"$2"
    [[ $(grep -c '^reasons' "$2") -ge 10 ]] || fail "$1 has hardly any marks"
}

only() {
    [[ $# -eq 1 && -f $1 ]] || fail "expected one file, found $*"
    echo "$1"
}

exam=exams/guide-tones.toml
who=(--candidate 3118 --started 2026-03-12T10:21:00Z)

echo "The exam is sound, and its form is the same whenever it is drawn."
run viva-voicing vet "$exam"
run viva-voicing form "$exam" --key >form.toml
viva-voicing form "$exam" --key | cmp - form.toml
run sed -n 1,5p form.toml

echo
echo "A sitting gives one sealed result."
run viva-voicing sit "$exam" --performance exams/demo/first-sitting.mid "${who[@]}" --results first
result="$(only first/*.toml)"
run viva-voicing audit "$result"
marks "$result" marks.txt

echo
echo "Marked again it is the same, beside the old one."
cp "$result" before.toml
run viva-voicing remark "$result"
cmp "$result" before.toml
remarked="$(only first/*-remark.toml)"
run viva-voicing audit "$remarked"
marks "$remarked" remarked.txt
run cmp marks.txt remarked.txt

echo
echo "Exported and sat again it gives the same marks."
run viva-voicing export "$result" --performance export.mid
run viva-voicing sit "$exam" --performance export.mid "${who[@]}" --results second
marks "$(only second/*.toml)" exported.txt
run cmp marks.txt exported.txt

echo
echo "The journal of a sitting, written as it goes, gives the same marks."
run viva-voicing sit "$exam" --performance export.mid "${who[@]}" --results third --journal sitting.journal
marks "$(only third/*.toml)" journalled.txt
run cmp marks.txt journalled.txt

echo
echo "Signed with the examiner's key, by this program and by another, it can be verified by both."
run openssl genpkey -algorithm ed25519 -out examiner.pem
run openssl pkey -in examiner.pem -pubout -out examiner.pub
run viva-voicing sign --key examiner.pem "$result"
run viva-voicing audit --public-key examiner.pub "$result"
run openssl pkeyutl -verify -rawin -pubin -inkey examiner.pub -in "$result" -sigfile "$result.sig"
run openssl pkeyutl -sign -rawin -inkey examiner.pem -in "$result" -out other.sig
run cmp other.sig "$result.sig"

echo
echo "A changed mark is found, and so is another key."
sed 's/^mark = 0\.00$/mark = 1.67/' "$result" >changed.toml
if cmp -s changed.toml "$result"; then fail "nothing was changed"; fi
refused viva-voicing audit changed.toml
refused viva-voicing sign --key examiner.pem changed.toml
openssl genpkey -algorithm ed25519 | openssl pkey -pubout -out stranger.pub
refused viva-voicing audit --public-key stranger.pub "$result"

echo
echo "A person looks at an item, overrules it, and the old result stays."
run viva-voicing review "$result" --item 2
cp "$result" before.toml
run viva-voicing review "$result" --item 2 --level 4 --reason "the key stuck" --by JW
cmp "$result" before.toml
reviewed="$(only first/*-review.toml)"
run viva-voicing audit "$reviewed"
run viva-voicing remark "$reviewed"
run grep -A3 '^\[\[overrule\]\]' first/*-review-remark.toml

echo
echo "The mark sheet says it, and the class is compared, gathered and seated."
run viva-voicing sheet "$reviewed" --out paper
sheet="$(only paper/*-sheet.pdf)"
[[ $(head -c 8 "$sheet") = %PDF-1.7 ]] || fail "$sheet is no PDF"
run viva-voicing collect first second --into gathered || [[ $? -eq 1 ]]
run viva-voicing moderate first --out class
[[ $(head -c 8 "$(only class/*/class.pdf)") = %PDF-1.7 ]] || fail "the class report is no PDF"
printf 'number,name\n3118,Quay\n3119,Merle\n' >class.csv
run viva-voicing slips --exam "$exam" --roster class.csv --results first --start 10:00
run cat guide-tones-slips.csv
if grep '^3118' guide-tones-slips.csv | grep 222-229; then fail "3118 would sit the same form again"; fi

echo
echo "An examiner at a piano enters marks by hand: what is missing is told, then it is a result too."
run viva-voicing form "$exam" --by-hand empty.csv
refused viva-voicing sit "$exam" --by-hand empty.csv --by JW --results piano 2>faults.txt
[[ $(grep -c '^empty.csv: line ' faults.txt) -ge 60 && ! -e piano ]] || fail "not all faults are told"
grep -v ',"\{0,1\}spare, for ' empty.csv | sed \
    -e 's/\(level 0 to 4; not reached; void\),,/\1,4,/' \
    -e 's/\(or nothing and the lines below; not reached; void"\),,/\1,80,/' \
    -e 's/\(right; wrong; none; not reached; void"\{0,1\}\),,/\1,right,/' >filled.csv
run viva-voicing sit "$exam" --by-hand filled.csv --by JW "${who[@]}" --results piano
by_hand="$(only piano/*.toml)"
run viva-voicing audit "$by_hand"
run viva-voicing remark "$by_hand"
run viva-voicing sheet "$by_hand" --out paper
refused viva-voicing export "$by_hand" --performance nothing.mid

echo
echo "All as it must be."

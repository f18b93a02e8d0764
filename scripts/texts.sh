#!/bin/sh
# Collects the texts of code and pages and brings every catalogue up to date; new ones wait there to be translated.
set -eu
bin="${1:-.venv/bin}"
pot="$(mktemp)"
trap 'rm -f "$pot"' EXIT
"$bin/pybabel" -q extract -F babel.cfg -k N_ -k NN_:1,2 --no-location --sort-output --omit-header -o "$pot" .
for po in src/threequarter/languages/*.po; do
    "$bin/pybabel" -q update -i "$pot" -o "$po" -l "$(basename "$po" .po)" --no-fuzzy-matching --ignore-obsolete -w 120
    sed -i.before '/^"\(Project-Id-Version\|Language-Team\|Report-Msgid-Bugs-To\|POT-Creation-Date\|PO-Revision-Date\|Last-Translator\|Generated-By\): /d' "$po"
    rm -f "$po.before"
done

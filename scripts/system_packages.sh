#!/bin/sh
# The tests look at real pages and real PDFs and run on a real PostgreSQL: Chromium, pdftoppm, initdb, strace. Brings them on Debian and Ubuntu as root, else says so.
set -u
missing=""
command -v chromium >/dev/null || command -v chromium-browser >/dev/null || missing="$missing chromium"
command -v pdftoppm >/dev/null || missing="$missing poppler-utils"
command -v initdb >/dev/null || ls /usr/lib/postgresql/*/bin/initdb >/dev/null 2>&1 || missing="$missing postgresql"
command -v strace >/dev/null || [ "$(uname)" != Linux ] || missing="$missing strace"
[ -z "$missing" ] && exit 0
if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
    echo "Installing$missing for the tests ..."
    apt-get update -qq && apt-get install -y -qq --no-install-recommends $missing >/dev/null && exit 0
fi
echo "NOT TESTED HERE:$missing is missing; tests that need it are skipped. Install it: sudo apt-get install$missing" >&2

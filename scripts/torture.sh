#!/bin/sh
# Runs every rig under tests/torture one after the other; each prints what it counted and ends with an error where a promise broke.
set -eu
python="$1"
rig() { echo "== $*"; "$python" "tests/torture/$@"; }
if [ "${2:-long}" = full ]; then kills=1000 states=20000 every=1 histories=10000 clips=2000 tables=50000 routes=200 backups=200 cuts=50 restarts=1800 races=500 damage=500 tries=1000 bodies=50000 minutes=10; else kills=200 states=5000 every=1 histories=1000 clips=300 tables=5000 routes=50 backups=20 cuts=10 restarts=300 races=500 damage=60 tries=200 bodies=5000 minutes=2; fi
"$python" -m pytest -m long
PYTHONPATH="${PYTHONPATH:-src}" rig first_attack.py
rig kills.py --kills "$kills"
rig working_day.py --kills "$kills"
rig working_day.py --kills "$kills" --postgres
rig power_cut.py --states "$states"
rig failing_calls.py --every "$every"
rig histories.py --histories "$histories"
"$python" -m tests.torture.day_histories --histories "$histories"
rig clips.py --clips "$clips"
rig tables.py --tables "$tables"
rig routes.py --examples "$routes"
rig backups.py --backups "$backups" --kills "$cuts"
rig damage.py --files "$damage"
"$python" -m tests.torture.other_rooms
"$python" -m tests.torture.enumeration --tries "$tries"
"$python" -m tests.torture.migrations --from 0003 --every "$every"
"$python" -m tests.torture.migrations --from 0003 --every "$every" --postgres
rig races.py --races "$races"
"$python" -m tests.torture.bodies --requests "$bodies"
"$python" -m tests.torture.large_table
"$python" -m tests.torture.thirty_coaches --minutes "$minutes"
rig phone_alone.py --kills 50 --closings 20
rig phone_alone.py --kills 50 --closings 20 --server
rig database_restarts.py --seconds "$restarts"

"""The demo bucket: an invented player, simulated balls; written by scripts/make_demo.py, which states its assumptions."""

import datetime
from pathlib import Path
from typing import Final

from threequarter.language.localize import N_

BUCKET: Final = Path(__file__).with_name("bucket.csv")
HIT_ON: Final = datetime.date(2026, 4, 18)
SAID: Final = N_("Robin Sedge and Harrowmere are invented; the balls are simulated, not hit.")

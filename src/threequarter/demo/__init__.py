"""The demo bucket: an invented player, simulated balls; written by scripts/make_demo.py, which states its assumptions."""

from pathlib import Path
from typing import Final

BUCKET: Final = Path(__file__).with_name("bucket.csv")
SAID: Final = "Robin Sedge and Harrowmere are invented; the balls are simulated, not hit."

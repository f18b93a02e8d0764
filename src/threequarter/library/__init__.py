"""The calls for those who come by Python: one for each job, each the very computation that pages and commands show.

Distances are metres, and say so in their names; `json()` of a result is what the command of its name prints, in the unit of the
file. Mistakes raise `UserError` with one clear line.
"""

from threequarter.chart.next_ball import Limits
from threequarter.flight.weather import Weather
from threequarter.golf.errors import UserError
from threequarter.golf.plan import Plan, PlannedClub, PlannedSwing
from threequarter.intake.options import ReadOptions
from threequarter.library.calls import card, chart, day, fly, next_shots, read, recheck, shot, swing

__all__ = [
    "Limits",
    "Plan",
    "PlannedClub",
    "PlannedSwing",
    "ReadOptions",
    "UserError",
    "Weather",
    "card",
    "chart",
    "day",
    "fly",
    "next_shots",
    "read",
    "recheck",
    "shot",
    "swing",
]

"""What each code says, one file for each room. English here; the catalogues say it in other languages."""

from typing import Final

from threequarter.language.text import Plural
from threequarter.language.texts import (
    app,
    chart,
    chart_advice,
    choice,
    flight,
    golf,
    intake,
    kept,
    measurement,
    notes,
    practice,
    store,
    swing,
)

TEXTS: Final[dict[str, str | Plural]] = {
    **app.TEXTS,
    **chart.TEXTS,
    **chart_advice.TEXTS,
    **choice.TEXTS,
    **flight.TEXTS,
    **golf.TEXTS,
    **intake.TEXTS,
    **kept.TEXTS,
    **measurement.TEXTS,
    **notes.TEXTS,
    **practice.TEXTS,
    **store.TEXTS,
    **swing.TEXTS,
}
"""Every code of every room; a room adds its file here."""

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
    kept,
    measurement,
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
    **kept.TEXTS,
    **measurement.TEXTS,
    **practice.TEXTS,
    **store.TEXTS,
    **swing.TEXTS,
}
"""Every code of every room; a room adds its file here."""

"""What the product says while it works: only what no room below it can know."""

from typing import Final

from threequarter.language.localize import N_
from threequarter.language.text import Plural

TEXTS: Final[dict[str, str | Plural]] = {
    "app.too_many_charts": N_("Too many charts are being made at once. Try again in a moment; your balls are safe."),
    "app.chart_is_computed": N_("Working out the chart of all days. That takes a few seconds."),
}

"""Results as rows: a list of dicts, or through the Arrow PyCapsule interface any data frame that speaks it."""

from abc import ABC, abstractmethod
from typing import Any

from threequarter.chart.result import Interval

Row = dict[str, Any]


class Rows(ABC):
    """A result with rows. A data frame takes the result itself: `polars.DataFrame(result)`, `pandas.DataFrame.from_arrow(result)`,
    `pyarrow.table(result)`."""

    @abstractmethod
    def rows(self) -> list[Row]:
        """One dict a row, the same keys in each; None where nothing is known."""

    def __repr__(self) -> str:
        return f"<{type(self).__name__}, {len(self.rows())} rows>"

    def __arrow_c_stream__(self, requested_schema: object | None = None) -> object:
        """The rows as an Arrow stream (Arrow PyCapsule interface)."""
        from threequarter.library.arrow import stream

        return stream(self.rows(), requested_schema)


def row_of(thing: object, *names: str) -> Row:
    """Some attributes as a row; a 90 % interval `stock90_m` becomes `stock90_low_m` and `stock90_high_m`."""
    row: Row = {}
    for name in names:
        value = getattr(thing, name)
        if isinstance(value, Interval):
            stem, unit = (name[:-2], "_m") if name.endswith("_m") else (name, "")
            row |= {f"{stem}_low{unit}": value.low, f"{stem}_high{unit}": value.high}
        else:
            row[name] = value
    return row

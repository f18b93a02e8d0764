"""Results as rows: a list of dicts, or through the Arrow PyCapsule interface any data frame that speaks it."""

from abc import ABC, abstractmethod
from typing import Any

from threequarter.chart.result import Interval

Row = dict[str, Any]


class Rows(ABC):
    """A result with rows. `rows()` needs nothing; a data frame takes the result itself (`pandas.DataFrame.from_arrow(result)`,
    `polars.DataFrame(result)`, `pyarrow.table(result)`) where the parquet extra is installed."""

    @abstractmethod
    def rows(self) -> list[Row]:
        """One dict a row, the same keys in each; None where nothing is known."""

    def __arrow_c_stream__(self, requested_schema: object | None = None) -> object:
        """The rows as an Arrow stream (Arrow PyCapsule interface). Raises ImportError without pyarrow."""
        try:
            import pyarrow
        except ImportError as error:
            raise ImportError(
                "A data frame from Arrow needs pyarrow: install threequarter[parquet], or use rows()."
            ) from error
        return pyarrow.Table.from_pylist(self.rows()).__arrow_c_stream__(requested_schema)


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

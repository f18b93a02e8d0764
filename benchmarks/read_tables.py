"""Reading a table of 10 000 rows and one of 20 MB, beside Python's own csv module in the same run.

    python benchmarks/read_tables.py

Limits: 10 000 rows in 1 s; 20 MB with bounded memory.
"""

import csv
import io
import resource
import time

from threequarter.intake.tables.read import read_table


def table(rows: int, note: str = "") -> bytes:
    lines = ["Ball;Club;Swing;Carry (m);Offline (m);Ball speed (km/h);Note"]
    swings = ("waist", "chest", "shoulder", "full")
    lines += [
        f"{i};SW 54;{swings[i % 4]};{40 + i % 37},{i % 10};{(i % 9) - 4},{i % 10};{90 + i % 20},1;{note}"
        for i in range(rows)
    ]
    return "\n".join(lines).encode()


def main() -> None:
    content = table(10_000)
    start = time.perf_counter()
    reading = read_table(content, "big.csv")
    ours = time.perf_counter() - start
    start = time.perf_counter()
    rows = list(csv.reader(io.StringIO(content.decode()), delimiter=";"))
    theirs = time.perf_counter() - start
    print(
        f"10 000 rows: {ours:.2f} s (limit 1), {len(reading.balls)} balls; splitting alone {theirs:.3f} s for {len(rows)} rows"
    )
    big = table(10_000, "x" * 2000)
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    start = time.perf_counter()
    reading = read_table(big, "big.csv")
    seconds = time.perf_counter() - start
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{len(big) / 2**20:.0f} MB: {seconds:.2f} s, {len(reading.balls)} balls, {memory - before:.0f} MB more than before ({memory:.0f} MB in all)"
    )


if __name__ == "__main__":
    main()

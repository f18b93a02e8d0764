"""Walks every page, print, command and answer of twenty stores and prints where two places say different things. Limit: nowhere.

    python benchmarks/contradictions.py [name of a store ...]

A few of them are walked by the suite too (tests/web/test_one_answer.py); what release 0.1.0 said of the first thirteen stands in
tests/data/contradictions_0_1_0.txt.
"""

import sys
import tempfile
import time
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.web.claims import STORES, claims, contradictions, walked
from tests.web.claims_elsewhere import elsewhere
from tests.web.claims_of_uses import uses


def main() -> None:
    wrong, count, chosen = 0, 0, sys.argv[1:] or list(STORES)
    for name in chosen:
        start = time.process_time()
        with tempfile.TemporaryDirectory() as folder:
            walk = walked(Path(folder))
            with walk.client:
                STORES[name](walk)
                found = [*claims(walk), *elsewhere(walk), *uses(walk)]
        different = contradictions(found)
        wrong, count = wrong + len(different), count + len(found)
        print(f"{name}: {len(found)} claims, {len(different)} contradictions, {time.process_time() - start:.1f} s")
        for line in different:
            print(f"  {line}")
    print(f"{len(chosen)} stores, {count} claims, {wrong} contradictions")
    sys.exit(bool(wrong))


if __name__ == "__main__":
    main()

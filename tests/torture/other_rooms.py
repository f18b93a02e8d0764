"""Everything that another room holds, asked of every field of every route, from every account: a share of it is in the suite.

python -m tests.torture.other_rooms [--only TEXT]
"""

import argparse
import json
import sys
import tempfile
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[2]), str(Path(__file__).parents[1])]
from tests.web.asked_of_rooms import OTHERS, Asker  # noqa: E402
from tests.web.two_rooms import two_rooms  # noqa: E402


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--only", default="", help="Only routes whose path holds this.")
    chosen = parser.parse_args()
    with tempfile.TemporaryDirectory(prefix="threequarter-rooms-") as scratch, two_rooms(Path(scratch)) as rooms:
        asker = Asker(rooms, one_in=1)
        asker.every(("coach", "script", *OTHERS), only=chosen.only)
    told = {
        "asked": asker.asked,
        "routes": len(asker.routes),
        "well_with_own": len(asker.found_own),
        "bad": asker.wrong[:50],
    }
    sys.stdout.write(json.dumps(told) + "\n")
    sys.exit(1 if asker.wrong else 0)


if __name__ == "__main__":
    main()

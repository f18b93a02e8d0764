"""The typesetter's own process: one request on standard input, the PDF or PNG on standard output, and nothing else it can do.

Run by `typesetting.py` as a module, with MEGABYTES and SECONDS. What a user typed is in what is set here, so it is fenced in.
Exit 3: one line on standard error.
"""

import json
import os
import sys

from threequarter.fence import fence, leave


def main() -> None:
    request = json.loads(sys.stdin.buffer.read())
    import typst

    fence(int(sys.argv[1]), int(sys.argv[2]))
    try:
        made = typst.compile(**request)
    except (RuntimeError, typst.TypstError) as error:
        sys.stderr.write(" ".join(str(error).split())[:300])
        sys.stderr.flush()
        os._exit(3)
    sys.stdout.buffer.write(bytes(made))
    leave()


if __name__ == "__main__":
    main()

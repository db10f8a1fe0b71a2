"""Read one file in this process, which has little memory and time, and write what it holds.

Standard input: one line of JSON with filename and limits, then the file. Standard output: see
`plain`. A process that writes nothing was killed, because the file asked for too much.
"""

import json
import sys
import traceback

from sites.load.engines.files.limits import Limits, Unfit
from sites.load.engines.files.plain import refusal_out, sheets_out
from sites.load.engines.files.reading import read_bytes


def main() -> int:
    """Return 0 whenever an answer was written."""
    head = json.loads(sys.stdin.buffer.readline())
    limits = Limits(**head["limits"])
    _limit_ourselves(limits)
    sys.stdout.buffer.write(_answer(head["filename"], sys.stdin.buffer.read(), limits))
    return 0


def _answer(filename: str, content: bytes, limits: Limits) -> bytes:
    try:
        return sheets_out(read_bytes(filename, content, limits))
    except Unfit as refusal:
        return refusal_out(refusal)
    except MemoryError:
        return refusal_out(Unfit("too much"))
    except BaseException:
        # Readers written in other languages bring errors that are no `Exception`.
        traceback.print_exc()
        return refusal_out(Unfit("damaged"))


def _limit_ourselves(limits: Limits) -> None:
    if sys.platform == "win32":
        return
    import resource

    for what, most in (
        (resource.RLIMIT_AS, limits.memory_bytes),
        (resource.RLIMIT_CPU, limits.cpu_seconds),
        (resource.RLIMIT_CORE, 0),
    ):
        try:
            resource.setrlimit(what, (most, most))
        except (OSError, ValueError):
            # Some systems do not limit memory: time still ends it.
            continue


if __name__ == "__main__":
    sys.exit(main())

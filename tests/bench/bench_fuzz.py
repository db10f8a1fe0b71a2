"""Changed files by the thousand, each read or refused in words: run as a script.

    uv run python -m tests.bench.bench_fuzz [files [seed]]

Bar: none of 5,000 ends in anything but sheets or a refusal, and none outlives the
limit on the process that reads it by more than 10 s.
"""

import os
import sys
import time
from collections import Counter


def main(files: int, seed: int) -> int:
    """Read them all, print what became of them, and return how many broke the bar."""
    from django.conf import settings

    from sites.cells.services.refusals import UnableToRead
    from sites.load.services.files import read_file
    from tests.services.load.mutated import changed_files

    ends: Counter[str] = Counter()
    broken, slowest = 0, 0.0
    for number, file in enumerate(changed_files(files, seed=seed)):
        began = time.monotonic()
        try:
            read_file(file)
            ends["read"] += 1
        except UnableToRead as refusal:
            ends[str(refusal)[:60]] += 1
        except Exception as error:
            broken += 1
            print(f"UNCAUGHT {number} {file.filename}: {type(error).__name__}: {error}")
        slowest = max(slowest, time.monotonic() - began)
    for what, count in ends.most_common():
        print(f"{count:6d}  {what}")
    print(f"{files} files from seed {seed}: {broken} uncaught, slowest {slowest:.1f} s")
    return broken + (slowest > settings.READING_A_FILE["seconds"] + 10)


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "tests.settings")
    import logging

    import django

    django.setup()
    logging.disable(logging.WARNING)
    given = [int(each) for each in sys.argv[1:]] + [5000, 20260110][len(sys.argv) - 1 :]
    sys.exit(bool(main(*given)))

#!/usr/bin/env python
"""Run one of Rejoin's commands: `demo`, `load`, `runserver`, `migrate`, `test`..."""

import os
import sys


def main() -> None:
    """Hand the command line to Django, with the demo's switch set before settings are read."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "sites.project.settings")
    if sys.argv[1:2] == ["demo"]:
        os.environ["REJOIN_DEMO"] = "1"
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()

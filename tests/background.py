"""Background services that only tests call."""

import threading
import time
from typing import Any

from django.db import transaction

from sites.models import Client
from sites.runs.services import Progress, UnableToFinish

# Set by a test in the same process to let a paused service go on.
GO_ON = threading.Event()


def add_up(progress: Progress, *, numbers: list[int], **later: Any) -> dict[str, int]:
    """Return the sum, telling how far it is."""
    for done, _ in enumerate(numbers, start=1):
        progress.say("Adding", done, len(numbers))
    return {"sum": sum(numbers)}


def refuse(progress: Progress, **later: Any) -> None:
    """Say in words why it cannot be done."""
    raise UnableToFinish("The file has no heading row. Add one and load it again.")


def break_down(progress: Progress, **later: Any) -> None:
    """Write something, then fail in a way that nobody foresaw."""
    with transaction.atomic():
        Client.objects.create(name="half-written")
        raise ZeroDivisionError("secret detail")


def write_and_wait(progress: Progress, *, name: str, **later: Any) -> str:
    """Write inside one long transaction and wait in it until the test lets go."""
    with transaction.atomic():
        Client.objects.create(name=name)
        while not GO_ON.wait(timeout=0.05):
            progress.say("Holding one transaction", 1, 2)
    return name


def write_slowly(progress: Progress, *, name: str, steps: int, **later: Any) -> str:
    """Write one client per step in one transaction, a tenth of a second apart."""
    with transaction.atomic():
        for step in range(1, steps + 1):
            Client.objects.create(name=f"{name} {step}")
            progress.say("Writing", step, steps)
            time.sleep(0.1)
    return name

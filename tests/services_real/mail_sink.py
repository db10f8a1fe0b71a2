"""A mail server that notes each mail that it took, and takes its time before and after."""

import os
import time
import uuid
from collections import Counter
from collections.abc import Sequence
from pathlib import Path

from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend

PAUSE_S = 0.02
FOLDER = "MAIL_SINK"


class Sink(BaseEmailBackend):
    """Writes one file for each mail taken, each under a new name."""

    def send_messages(self, messages: Sequence[EmailMessage]) -> int:
        """Take the mails: a process may be killed before, or between this and its own note."""
        for message in messages:
            time.sleep(PAUSE_S)
            sent = message.message()
            file = Path(os.environ[FOLDER]) / uuid.uuid4().hex
            # Whole or not at all: the test counts while this process is being killed.
            half = file.with_suffix(".half")
            half.write_text(f"{sent['Message-ID']}\n{sent['To']}\n")
            half.rename(file)
            time.sleep(PAUSE_S)
        return len(messages)


def taken(folder: Path) -> Counter[str]:
    """Return how often each Message-ID was taken."""
    whole = [file for file in folder.iterdir() if not file.suffix]
    return Counter(file.read_text().splitlines()[0] for file in whole)

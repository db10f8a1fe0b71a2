"""What the log says."""

import logging

from django.db import InterfaceError, OperationalError


class DatabaseDown(logging.Filter):
    """One line for each request while the database is down.

    Every page fails in the same place then, each with a hundred lines of what failed because of
    it, and the cause drowns in them.
    """

    def filter(self, record: logging.LogRecord) -> bool:
        """Put the error's own words in the place of its traceback."""
        error = record.exc_info[1] if record.exc_info else None
        if isinstance(error, InterfaceError | OperationalError):
            words = " ".join(str(error).split())
            record.msg, record.args = f"{record.getMessage()}: {words}", None
            record.exc_info = record.exc_text = None
        return True


LOGGING = {
    "version": 1,
    "disable_existing_loggers": False,
    "formatters": {"line": {"format": "{asctime} {levelname} {name}: {message}", "style": "{"}},
    "filters": {"database down": {"()": "sites.project.logs.DatabaseDown"}},
    "handlers": {
        "console": {
            "class": "logging.StreamHandler",
            "formatter": "line",
            "filters": ["database down"],
        }
    },
    "root": {"handlers": ["console"], "level": "WARNING"},
}

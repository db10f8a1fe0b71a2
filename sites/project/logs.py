"""What the log says, as lines or as JSON, each with the id of its request or task."""

import json
import logging
from datetime import UTC, datetime
from typing import Any

from django.db import InterfaceError, OperationalError

from sites.kernel.services.request_ids import request_id
from sites.project.environment import ErrorMailSettings

LINE = "{asctime} {levelname} {name} [{request_id}]: {message}"
ERROR_MAIL = "error mail"


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


class WithRequest(logging.Filter):
    """Note the id of the request at hand on each record."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Let it pass."""
        record.request_id = request_id()
        return True


class AsJson(logging.Formatter):
    """One JSON object to a line: at (UTC), level, logger, request, message, and error if any."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line; what JSON has no form for is written as text."""
        told = {
            "at": datetime.fromtimestamp(record.created, UTC).isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "logger": record.name,
            "request": getattr(record, "request_id", request_id()),
            "message": record.getMessage(),
        }
        if record.exc_info:
            told["error"] = self.formatException(record.exc_info)
        return json.dumps(told, ensure_ascii=False, default=str)


def formatter(*, as_json: bool) -> logging.Formatter:
    """Return what writes a record."""
    return AsJson() if as_json else logging.Formatter(LINE, style="{")


def logging_settings(*, as_json: bool, mail: ErrorMailSettings | None = None) -> dict[str, Any]:
    """Return the setting LOGGING: what goes to the log, and which errors are mailed besides."""
    line = {"()": "sites.project.logs.AsJson"} if as_json else {"format": LINE, "style": "{"}
    handlers: dict[str, Any] = {
        "console": {
            "class": "logging.StreamHandler",
            "formatter": "line",
            "filters": ["database down", "with request"],
        }
    }
    if mail:
        how = {"()": "sites.project.error_mail.ErrorMail", "to": mail.to, "folder": mail.folder}
        # Before the console, whose filter takes the error off a record.
        handlers = {ERROR_MAIL: how, **handlers}
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {"line": line},
        "filters": {
            "database down": {"()": "sites.project.logs.DatabaseDown"},
            "with request": {"()": "sites.project.logs.WithRequest"},
        },
        "handlers": handlers,
        "root": {"handlers": list(handlers), "level": "WARNING"},
    }

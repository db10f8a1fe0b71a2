"""A file of a report as an answer."""

from pathlib import PurePath

from django.http import HttpResponse

from reports.issued.services.files import CONTENT_TYPES


def file_response(content: bytes, name: str) -> HttpResponse:
    """Return a file under this name; a PDF opens in the browser, the rest is kept."""
    ending = PurePath(name).suffix
    shown = "attachment" if ending == ".xlsx" else "inline"
    response = HttpResponse(content, content_type=CONTENT_TYPES[ending])
    response.headers["Content-Disposition"] = f'{shown}; filename="{name}"'
    response.headers["Cache-Control"] = "private, no-store"
    return response

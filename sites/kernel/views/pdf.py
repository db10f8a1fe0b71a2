"""A PDF as an answer: it opens in the browser, under a name that a folder takes."""

from django.http import HttpResponse
from django.utils.text import slugify


def pdf_response(content: bytes, name: str) -> HttpResponse:
    """Return a PDF. Nobody keeps it on the way: it may show prices."""
    response = HttpResponse(content, content_type="application/pdf")
    response.headers["Content-Disposition"] = f'inline; filename="{slugify(name)}.pdf"'
    response.headers["Cache-Control"] = "private, no-store"
    return response

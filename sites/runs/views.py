"""What pages of a background run share: its progress, and the part of a page that is polled."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone

from sites.models import Run
from sites.runs.services import goes_on, watch_run


def progress_page(request: HttpRequest, run: Run, template: str, **more: Any) -> HttpResponse:
    """Show how far a run is."""
    watched = watch_run(run=run, at=timezone.now())
    context: dict[str, Any] = {"run": run, "watched": watched, **more}
    return render(request, template, context)


def progress_part(request: HttpRequest, run: Run, template: str) -> HttpResponse:
    """Show the same as a part, polled each second; at the end the whole page is loaded again."""
    if goes_on(run):
        return progress_page(request, run, template)
    return HttpResponse(headers={"HX-Refresh": "true"})

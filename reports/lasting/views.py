"""The page of how long stopgaps last: the kept answer, how far a new one is, and its files."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_POST

from reports.lasting.charts import all_figure, endings_figure, groups_figure
from reports.lasting.services.words import (
    DIMENSIONS,
    at_days,
    compared_words,
    days_words,
    ending_words,
    group_words,
    mean_words,
    median_words,
    written,
)
from reports.summaries.services.kept_runs import LASTING
from reports.summaries.views import ask, kept_context, progress_of
from sites.cells.services.shown import share_text
from sites.kernel.access import SignedInRequest, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.table_files import list_file, wanted_file
from sites.models import Run

PAGE = "reports:lasting"
SHOWN_DAYS = (30, 90, 180, 365, 730, 1095, 1460)


@page_for(Action.SEE_RATES)
def lasting(request: SignedInRequest) -> HttpResponse:
    """How long stopgaps last, as it was worked out last."""
    context = kept_context(request, LASTING, PAGE)
    run = context["run"]
    if run is not None and (kind := wanted_file(request)):
        return list_file(written(run.result), kind=kind)
    if run is not None:
        context |= _shown(run)
    return render(request, "reports/lasting/lasting.html", context)


def _shown(run: Run) -> dict[str, Any]:
    found = run.result
    context: dict[str, Any] = {
        "found": found,
        "dimensions": [_dimension(by) for by in found["by"]],
    }
    if found["all"] is None:
        return context
    every = found["all"]
    early, late = found["median_band"]
    lines = sorted(every["endings"].items(), key=lambda each: -each[1][-1][1])
    return context | {
        "median": median_words(every),
        "is_reached": every["median"][0] is not None,
        "half": days_words(every["median"][0]),
        "mean": mean_words(every),
        "early": days_words(early),
        "late": days_words(late),
        "figure": all_figure(every, found["band"]),
        "endings": endings_figure(every),
        "rows": at_days(every, SHOWN_DAYS),
        "ended": [(ending_words(name), share_text(line[-1][1])) for name, line in lines],
        "last_day": round(every["steps"][-1][0]) if every["steps"] else 0,
    }


def _dimension(by: dict[str, Any]) -> dict[str, Any]:
    name = by["name"]
    return {
        "name": name,
        "title": DIMENSIONS[name],
        "without": by["without"],
        "few": [(group_words(name, each), n) for each, n in by["few"]],
        "compared": compared_words(by),
        "figure": groups_figure(name, by["groups"]),
        "figure_id": f"figure-{name}",
        "groups": [
            {
                "name": group_words(name, each["name"]),
                "times": each["times"],
                "open": each["times"] - each["ended"],
                "median": median_words(each),
                "mean": mean_words(each),
                "from_day": round(each["from_day"]),
            }
            for each in by["groups"]
        ],
    }


@page_for(Action.SEE_RATES)
@require_POST
def work_out(request: SignedInRequest) -> HttpResponse:
    """Work it out again."""
    return ask(request, LASTING, PAGE)


@page_for(Action.SEE_RATES)
def progress(request: SignedInRequest) -> HttpResponse:
    """How far the new answer is."""
    return progress_of(request, LASTING, PAGE)

"""The page of how long stopgaps last: the kept answer, how far a new one is, and its files."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
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
from reports.summaries.services.kept_runs import LASTING, ask_for, newest, under_way
from sites.cells.services.shown import share_text
from sites.kernel.access import SignedInRequest, actions_anywhere, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.table_files import list_file, wanted_file
from sites.models import Run
from sites.runs.services import goes_on
from sites.runs.views import progress_part

SHOWN_DAYS = (30, 90, 180, 365, 730, 1095, 1460)


@page_for(Action.SEE_RATES)
def lasting(request: SignedInRequest) -> HttpResponse:
    """How long stopgaps last, as it was worked out last."""
    run, now = newest(request.user, LASTING), under_way(request.user, LASTING)
    if run is not None and (kind := wanted_file(request)):
        return list_file(written(run.result), kind=kind)
    context: dict[str, Any] = {"run": run, "now": now, "goes_on": now is not None and goes_on(now)}
    if run is not None:
        context |= _shown(request, run)
    return render(request, "reports/lasting/lasting.html", context)


def _shown(request: SignedInRequest, run: Run) -> dict[str, Any]:
    found = run.result
    context: dict[str, Any] = {
        "found": found,
        "may_export": Action.EXPORT in actions_anywhere(request.user),
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
    """Work it out anew; nothing else is changed by it."""
    ask_for(LASTING, by=request.user, at=timezone.now())
    return redirect("reports:lasting")


@page_for(Action.SEE_RATES)
def progress(request: SignedInRequest) -> HttpResponse:
    """How far the new answer is, polled each second; at the end the page is loaded again."""
    run = under_way(request.user, LASTING)
    if run is None:
        return HttpResponse(headers={"HX-Refresh": "true"})
    return progress_part(request, run, "reports/lasting/_progress.html")

"""The page of when all will be back: the kept forecast, how far a new one is, and its files."""

from datetime import date
from typing import Any

from django.http import HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_POST

from reports.ahead.charts import fan_figure
from reports.ahead.services.words import (
    CHANGE_WORDS,
    band_words,
    better_words,
    honest_words,
    none_old_sentence,
    none_old_words,
    written,
)
from reports.goals.services.words import headline
from reports.summaries.services.kept_runs import AHEAD
from reports.summaries.views import ask, kept_context, progress_of
from sites.kernel.access import SignedInRequest, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.table_files import list_file, wanted_file

PAGE = "reports:ahead"


@page_for(Action.SEE_RATES)
def ahead(request: SignedInRequest) -> HttpResponse:
    """How many will be off month by month, and what would change it."""
    context = kept_context(request, AHEAD, PAGE)
    run = context["run"]
    if run is not None and (kind := wanted_file(request)):
        return list_file(written(run.result), kind=kind)
    if run is not None:
        context |= _shown(run.result)
    return render(request, "reports/ahead/ahead.html", context)


def _shown(found: dict[str, Any]) -> dict[str, Any]:
    now = {"name": "", **found}
    returns, minutes = found["returns"], found["minutes"]
    return {
        "found": found,
        "headline": headline(found),
        "none_old": none_old_sentence(found),
        "figure": fan_figure(found["months"]),
        "rows": [
            (date.fromisoformat(day), [round(point) for point in points])
            for day, *points in found["months"]
        ],
        "changes": [
            {
                "name": CHANGE_WORDS.get(each["name"]),
                "half_year": band_words(each["half_year"]),
                "year": band_words(each["year"]),
                "days_off": round(each["days_off"]),
                "fewer": round(found["days_off"] - each["days_off"]),
                "none_old": none_old_words(each),
            }
            for each in (now, *found["changes"])
        ],
        "scores": found["scores"],
        "honest": honest_words(found["scores"]),
        "better": better_words(found["scores"]),
        "hours": None if minutes is None else round(returns[1] * minutes / 60),
    }


@page_for(Action.SEE_RATES)
@require_POST
def work_out(request: SignedInRequest) -> HttpResponse:
    """Work it out again."""
    return ask(request, AHEAD, PAGE)


@page_for(Action.SEE_RATES)
def progress(request: SignedInRequest) -> HttpResponse:
    """How far the new answer is."""
    return progress_of(request, AHEAD, PAGE)

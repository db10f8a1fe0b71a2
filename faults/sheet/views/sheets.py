"""Job sheets: the list for today and the next days, one sheet, its data, and what phones send."""

import json
from datetime import timedelta
from typing import Any

from django.contrib.auth.decorators import login_required
from django.db.models import Model
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from faults.models import Job
from faults.sheet.forms.payload import item_plain, sheet_payload, user_key
from faults.sheet.queries import (
    LOOKS_AHEAD_DAYS,
    NEXT_DAYS,
    items_of_job,
    jobs_to_settle,
    picture_on_sheet,
    sheets_of,
)
from faults.sheet.services.inbox import UnableToReadBatch, take_in
from faults.sheet.services.settling import settle
from faults.sheet.services.words import kinds_in_words, sheet_words
from faults.sheet.views.sheet_app import FIRST_MODULES, first_files
from faults.work.queries.jobs import job_to_show
from faults.work.views.job_common import JobView, the_job
from sites.kernel.access import SignedInRequest, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.limits import limited
from sites.kernel.views.pictures import picture_response
from sites.models import User, today_at
from sites.register.services.photos import light_copy

# More than a dispatcher hands out in a day.
MOST_PRINTED = 100


@never_cache
@page_for(Action.WORK_JOBS)
def sheets(request: SignedInRequest) -> HttpResponse:
    """The sheets of the user's crew for today and its next days: a phone keeps these."""
    today = timezone.localdate()
    kept = sheets_of(request.user, today=today)
    context = {
        "sheets": kept,
        "today": today,
        "next_days": NEXT_DAYS,
        "last": today + timedelta(days=LOOKS_AHEAD_DAYS),
        "to_settle": jobs_to_settle(request.user),
        "data": {
            "user": user_key(request.user),
            "words": sheet_words(),
            **_phone(kept),
        },
    }
    return _page(request, "sheets", context)


def _page(request: SignedInRequest, name: str, context: dict[str, Any]) -> HttpResponse:
    answer = render(request, f"faults/sheet/{name}.html", {**context, "modules": FIRST_MODULES})
    answer["Link"] = first_files()
    return answer


def _phone(kept: list[Job]) -> dict[str, object]:
    """Return which sheets the phone keeps, and the addresses that its script asks."""
    return {
        "sheets": [[_sheet_url(job), _data_url(job)] for job in kept],
        "list": reverse("faults:sheets"),
        "send": reverse("faults:sheet_items"),
        "worker": reverse("faults:sheet_worker"),
        "sign_in": reverse("sites:sign_in"),
    }


def _sheet_url(job: Job) -> str:
    return reverse("faults:sheet", args=[job.ref])


def _data_url(job: Job) -> str:
    return reverse("faults:sheet_data", args=[job.ref])


@never_cache
@page_for(Action.WORK_JOBS)
def sheet(request: SignedInRequest, ref: str) -> HttpResponse:
    """One sheet. All that it says stands in the page, so that it can be read without a script."""
    job = the_job(request, ref, Action.WORK_JOBS)
    return _page(request, "sheet", {"job": job, "data": _data_of(request, job)})


@never_cache
@page_for(Action.WORK_JOBS)
def sheets_print(request: SignedInRequest) -> HttpResponse:
    """The sheets of the jobs that were ticked in their list, each on paper of its own."""
    refs = request.GET.get("rows", "").split()[:MOST_PRINTED]
    found = {
        job.ref: job for job in job_to_show(request.user, Action.WORK_JOBS).filter(ref__in=refs)
    }
    at = timezone.now()
    printed = [
        sheet_payload(job=job, user=request.user, today=today_at(job.property), at=at)
        for job in (found[ref] for ref in refs if ref in found)
    ]
    context = {"sheets": printed, "back": reverse("faults:jobs")}
    return render(request, "faults/sheet/print.html", context)


@never_cache
@page_for(Action.WORK_JOBS)
def sheet_data(request: SignedInRequest, ref: str) -> HttpResponse:
    """The sheet as data, for a phone that keeps it and one that asks what is new."""
    return JsonResponse(_data_of(request, the_job(request, ref, Action.WORK_JOBS)))


@page_for(Action.WORK_JOBS)
def sheet_photo(request: SignedInRequest, ref: str, photo: str) -> HttpResponse:
    """A picture that the sheet shows, light enough to be taken along; open to whom the sheet is."""
    shown = picture_on_sheet(the_job(request, ref, Action.WORK_JOBS), photo)
    if shown is None:
        raise Http404
    return picture_response(shown.file, light_copy)


def _data_of(request: SignedInRequest, job: Job) -> dict[str, object]:
    payload = sheet_payload(
        job=job, user=request.user, today=today_at(job.property), at=timezone.now()
    )
    kept = sheets_of(request.user, today=timezone.localdate())
    return {**payload, **_phone(kept), "data": _data_url(job)}


@login_required
@require_POST
@limited("sheet items", "240/minute")
def sheet_items(request: HttpRequest) -> HttpResponse:
    """Receive what a phone recorded; each thing needs the permission of its own verb.

    Open to every signed-in user, so that one whose permission was withdrawn gets a refusal for
    each thing, and the office finds what was recorded.
    """
    assert isinstance(request.user, User)
    now = timezone.now()
    try:
        batch = json.loads(request.body)
        if not isinstance(batch, dict):
            raise UnableToReadBatch(_("This is no list of things from a job sheet."))
        if batch.get("user") != user_key(request.user):
            return JsonResponse({"why": _("Somebody else is signed in on this phone.")}, status=409)
        rows = take_in(batch=batch, by=request.user, now=now)
    except (ValueError, RecursionError, UnableToReadBatch) as problem:
        return JsonResponse({"why": str(problem)}, status=400)
    # Later than all that was written: a phone keeps a thing in view until it has data newer than
    # this, and data that was read while the batch was still being written lacks some of it.
    stamp = timezone.now().isoformat()
    return JsonResponse({"answers": [item_plain(row) for row in rows], "stamp": stamp})


@page_for(Action.SEE_WORK)
def sheet_kept(request: SignedInRequest, ref: str) -> HttpResponse:
    """What came from phones about a job, kept and not kept, for the office."""
    job = the_job(request, ref, Action.SEE_WORK)
    words = kinds_in_words()
    lines = [
        (row, words.get(row.kind, row.kind), json.dumps(row.body, ensure_ascii=False, indent=1))
        for row in items_of_job(job)
    ]
    return render(request, "faults/sheet/kept.html", {"job": job, "lines": lines})


class SheetSettle(JobView):
    """Mark as reviewed what was not accepted."""

    verb = settle
    heading, button = (
        gettext_lazy("Is all that was not kept looked at?"),
        gettext_lazy("It is settled"),
    )
    done = gettext_lazy("Settled. All of it stays on the page of what came from phones.")

    def get_watched(self) -> list[Model]:
        return []

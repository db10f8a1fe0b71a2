"""Pages of loading: bring files, watch, correct the match, look at the preview, load."""

from io import BytesIO
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.http import content_disposition_header
from django.utils.translation import gettext as _
from django.views.decorators.http import require_POST

from faults.access import uploads_for
from faults.load.forms import FilesForm, MatchForm
from faults.load.services import uploads
from faults.load.services.guide import guide, write_templates
from sites.kernel.access import SignedInRequest, find, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.limits import limited
from sites.models import Run, RunState, Upload
from sites.runs.services import cancel_run, goes_on, watch_run

RECENT = 50
XLSX = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
_DONE, _FAILED = RunState.DONE, (RunState.FAILED, RunState.CANCELLED)


@limited("load", "30/hour")
@page_for(Action.LOAD_REGISTER)
def load(request: SignedInRequest) -> HttpResponse:
    """Bring files; below, the uploads of before."""
    form = FilesForm(request.POST, request.FILES) if request.method == "POST" else FilesForm()
    if form.is_bound and form.is_valid():
        upload = uploads.receive_upload(
            files=form.cleaned_data["brought"], by=request.user, at=timezone.now()
        )
        return redirect("faults:load_upload", upload.ref)
    recent = uploads_for(request.user).select_related("by", "preview_run", "load_run", "back_run")
    context = {"form": form, "uploads": recent.order_by("-at", "-pk")[:RECENT]}
    status = 422 if form.errors else 200
    return render(request, "faults/load/start.html", context, status=status)


@page_for(Action.LOAD_REGISTER)
def load_guide(request: SignedInRequest) -> HttpResponse:
    """What each sheet and column may hold."""
    return render(request, "faults/load/guide.html", {"sheets": guide()})


@page_for(Action.LOAD_REGISTER)
def load_templates(request: SignedInRequest) -> HttpResponse:
    """Empty sheets to fill in, as one workbook."""
    file = BytesIO()
    write_templates(file)
    return _workbook(file, _("register templates"))


@page_for(Action.LOAD_REGISTER)
def load_upload(request: SignedInRequest, ref: str) -> HttpResponse:
    """Where one upload stands: progress, a refusal, the preview, or what was loaded."""
    upload = _upload(request, ref)
    if under_way := _under_way(upload):
        return render(request, "faults/load/progress.html", _progress(upload, under_way))
    run = upload.load_run or upload.preview_run
    if run is None or run.state in _FAILED:
        return render(request, "faults/load/failed.html", {"upload": upload, "run": run})
    context = {"upload": upload, "preview": run.result}
    if upload.load_run:
        may_take_back = upload.loaded.exists()
        return render(request, "faults/load/done.html", {**context, "may_take_back": may_take_back})
    return render(request, "faults/load/preview.html", context)


@page_for(Action.LOAD_REGISTER)
def load_progress(request: SignedInRequest, ref: str) -> HttpResponse:
    """The progress fragment, polled every second; at the end the whole page is reloaded."""
    upload = _upload(request, ref)
    run = _under_way(upload)
    if run is None:
        return HttpResponse(headers={"HX-Refresh": "true"})
    return render(request, "faults/load/_progress.html", _progress(upload, run))


@page_for(Action.LOAD_REGISTER)
def load_match(request: SignedInRequest, ref: str) -> HttpResponse:
    """Correct how sheets and columns were understood, and answer the load's questions."""
    upload = _upload(request, ref)
    shown = upload.preview_run.result if upload.preview_run else None
    if not shown:
        return redirect("faults:load_upload", upload.ref)
    given = request.POST if request.method == "POST" else None
    form = MatchForm(shown, upload.answers, given)
    if form.is_bound and form.is_valid():
        return _after(
            request,
            upload,
            lambda: uploads.answer_upload(
                upload=upload, answers=form.corrected(), by=request.user, at=timezone.now()
            ),
        )
    context = {"upload": upload, "form": form, "questions": shown["questions"]}
    status = 422 if form.errors else 200
    return render(request, "faults/load/match.html", context, status=status)


@page_for(Action.LOAD_REGISTER)
def load_to_mend(request: SignedInRequest, ref: str) -> HttpResponse:
    """What was brought as a workbook, each problem beside its cell."""
    upload, file = _upload(request, ref), BytesIO()
    try:
        uploads.write_workbook_to_mend(upload=upload, file=file)
    except uploads.UnableToConfirm as refusal:
        messages.error(request, str(refusal))
        return redirect("faults:load_upload", upload.ref)
    name = f"{upload.filename.rsplit('.', 1)[0]} {_('to mend')}"
    return _workbook(file, name)


def _workbook(file: BytesIO, name: str) -> HttpResponse:
    response = HttpResponse(file.getvalue(), content_type=XLSX)
    named = content_disposition_header(True, f"{name}.xlsx")
    response["Content-Disposition"] = named or "attachment"
    return response


@page_for(Action.LOAD_REGISTER)
@require_POST
def load_confirm(request: SignedInRequest, ref: str) -> HttpResponse:
    """Load what the preview showed."""
    upload = _upload(request, ref)
    digest = request.POST.get("digest", "")
    return _after(
        request,
        upload,
        lambda: uploads.confirm_upload(
            upload=upload, digest=digest, by=request.user, at=timezone.now()
        ),
    )


@page_for(Action.LOAD_REGISTER)
@require_POST
def load_again(request: SignedInRequest, ref: str) -> HttpResponse:
    """Look at the files again."""
    upload = _upload(request, ref)
    return _after(
        request,
        upload,
        lambda: uploads.look_again(upload=upload, by=request.user, at=timezone.now()),
    )


@page_for(Action.LOAD_REGISTER)
@require_POST
def load_cancel(request: SignedInRequest, ref: str) -> HttpResponse:
    """Stop what is under way; nothing of it stays."""
    upload = _upload(request, ref)
    if run := _under_way(upload):
        cancel_run(run=run, at=timezone.now())
    return redirect("faults:load_upload", upload.ref)


@page_for(Action.LOAD_REGISTER)
@require_POST
def load_take_back(request: SignedInRequest, ref: str) -> HttpResponse:
    """Put the register back as it was before the load."""
    upload = _upload(request, ref)
    return _after(
        request,
        upload,
        lambda: uploads.ask_to_take_back(upload=upload, by=request.user, at=timezone.now()),
    )


@page_for(Action.LOAD_REGISTER)
@require_POST
def load_give_up(request: SignedInRequest, ref: str) -> HttpResponse:
    """Forget the files."""
    upload = _upload(request, ref)
    try:
        uploads.give_up_upload(upload=upload)
    except uploads.UnableToConfirm as refusal:
        messages.error(request, str(refusal))
        return redirect("faults:load_upload", upload.ref)
    messages.success(request, _("The files are forgotten; nothing was loaded."))
    return redirect("faults:load")


def _upload(request: SignedInRequest, ref: str) -> Upload:
    upload: Upload = find(
        uploads_for(request.user).select_related("preview_run", "load_run", "back_run", "by"),
        ref=ref,
    )
    return upload


def _under_way(upload: Upload) -> Run | None:
    """Return the run that waits or works: of what was set off last."""
    run = upload.back_run or upload.load_run or upload.preview_run
    return run if run and goes_on(run) else None


def _progress(upload: Upload, run: Run) -> dict[str, object]:
    return {"upload": upload, "run": run, "watched": watch_run(run=run, at=timezone.now())}


def _after(request: HttpRequest, upload: Upload, verb: Any) -> HttpResponse:
    try:
        verb()
    except uploads.UnableToConfirm as refusal:
        messages.error(request, str(refusal))
    return redirect("faults:load_upload", upload.ref)

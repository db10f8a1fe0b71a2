"""Photos of a visit: add one, show it to users who may see the job, hide it."""

from typing import Any

from django.http import HttpResponse
from django.utils import timezone
from django.utils.translation import gettext as _

from faults.access import job_photos_for
from faults.cases.views.common import posted, today_at
from faults.models import JobPhoto
from faults.work.services.photos import add_job_photo, hide_job_photo, show_job_photo
from faults.work.views.job_common import ask, the_job
from sites.kernel.access import SignedInRequest, find, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.pictures import picture_response
from sites.register.forms.photos import AskForm, PhotoForm
from sites.register.services.photos import prepare_photo, small_copy


@page_for(Action.SEE_WORK)
def job_photo(request: SignedInRequest, ref: str) -> HttpResponse:
    """The picture itself."""
    return picture_response(find(job_photos_for(request.user), ref=ref).file)


@page_for(Action.SEE_WORK)
def job_photo_small(request: SignedInRequest, ref: str) -> HttpResponse:
    """The picture at the size of a thumb."""
    return picture_response(find(job_photos_for(request.user), ref=ref).file, small_copy)


@page_for(Action.WORK_JOBS)
def job_photo_add(request: SignedInRequest, ref: str) -> HttpResponse:
    """Add a photo to a job."""
    job = the_job(request, ref, Action.WORK_JOBS)
    form = PhotoForm(posted(request), request.FILES or None)
    form.order_fields(["camera", "photo", "caption", "keep_position"])

    def act(data: dict[str, Any]) -> str:
        file = data["camera"] or data["photo"]
        add_job_photo(
            job=job,
            photo=prepare_photo(file, keep_position=data["keep_position"]),
            by=request.user,
            at=timezone.now(),
            caption=" ".join(data["caption"].split()),
        )
        return _("The photo is kept.")

    heading, button = _("Add a photo of this job"), _("Keep this photo")
    return ask(request, job, form, act, heading, button, watched=[])


@page_for(Action.WORK_JOBS)
def job_photo_hide(request: SignedInRequest, ref: str) -> HttpResponse:
    """Take a photo from the job's page."""
    kept = _kept(request, ref)

    def act(_data: dict[str, Any]) -> str:
        hide_job_photo(photo=kept, today=today_at(kept.job.property))
        return _("The photo is hidden. It can be shown again below the others.")

    return _ask(request, kept, act, _("Hide this photo?"), _("Hide it"))


@page_for(Action.WORK_JOBS)
def job_photo_show(request: SignedInRequest, ref: str) -> HttpResponse:
    """Put a hidden photo back."""
    kept = _kept(request, ref)

    def act(_data: dict[str, Any]) -> str:
        show_job_photo(photo=kept)
        return _("The photo is shown again.")

    return _ask(request, kept, act, _("Show this photo again?"), _("Show it again"))


def _kept(request: SignedInRequest, ref: str) -> JobPhoto:
    rows = job_photos_for(request.user, Action.WORK_JOBS)
    return find(rows.select_related("job__property", "job__fault"), ref=ref)


def _ask(
    request: SignedInRequest, kept: JobPhoto, act: Any, heading: str, button: str
) -> HttpResponse:
    template, extra = "faults/jobs/ask_photo.html", {"photo": kept}
    form = AskForm(posted(request))
    return ask(
        request,
        kept.job,
        form,
        act,
        heading,
        button,
        watched=[kept],
        template=template,
        extra=extra,
    )

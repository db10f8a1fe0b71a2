"""Photos of a visit: add one, show it to users who may see the job, hide it."""

from django.utils.translation import gettext_lazy as _

from faults.access import job_photos_for
from faults.models import Job, JobPhoto
from faults.work.forms.photos import JobPhotoForm
from faults.work.services.photos import add_job_photo, hide_job_photo, show_job_photo
from faults.work.views.job_common import JobView, OfJobView
from sites.kernel.engines.roles import Action
from sites.register.views.photos import (
    PhotoAddMixin,
    PhotoHideMixin,
    PhotoShowMixin,
    PhotoView,
    picture_page,
)

job_photo = picture_page(job_photos_for, Action.SEE_WORK)
job_photo_small = picture_page(job_photos_for, Action.SEE_WORK, is_small=True)


class JobPhotoAdd(JobView, PhotoAddMixin[Job]):
    """Add a photo to a job."""

    verb = add_job_photo
    form_class = JobPhotoForm
    heading = _("Add a photo of this job")


class _OfPhoto(OfJobView[JobPhoto], PhotoView[JobPhoto]):
    photos = job_photos_for
    with_place = ("job__property", "job__fault")
    figure = "faults/jobs/_photo.html"

    @property
    def job(self) -> Job:
        return self.row.job


class JobPhotoHide(PhotoHideMixin[JobPhoto], _OfPhoto):
    """Take a photo from the job's page."""

    verb = hide_job_photo


class JobPhotoShow(PhotoShowMixin[JobPhoto], _OfPhoto):
    """Put a hidden photo back."""

    verb = show_job_photo

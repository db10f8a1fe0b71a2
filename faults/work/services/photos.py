"""Photos of a visit: added, hidden, shown again; never deleted."""

from datetime import datetime

from django.utils.translation import gettext as _

from faults.cases.services.photos import MOST_SHOWN
from faults.models import Job, JobPhoto
from faults.work.services.told import UnableToAddJobPhoto
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import verb
from sites.models import User
from sites.register.services.photos import PreparedPhoto, hiding_verbs, keep_picture


@verb(
    name="add a photo of a job",
    action=Action.WORK_JOBS,
    guard="the file is a picture within limits; fewer than 60 are shown",
    undo="hide a photo of a job",
)
def add_job_photo(
    *, job: Job, photo: PreparedPhoto, by: User | None, at: datetime, caption: str = ""
) -> JobPhoto:
    """Keep a photo that was taken on a visit."""
    if job.photos.filter(hidden_on__isnull=True).count() >= MOST_SHOWN:
        raise UnableToAddJobPhoto(_("60 photos are shown here already. Hide one that says little."))
    return keep_picture(JobPhoto(job=job), photo, by=by, at=at, caption=caption)


hide_job_photo, show_job_photo = hiding_verbs("a photo of a job", Action.WORK_JOBS)

"""Photos of faults and breaks: added, hidden, shown again; never deleted."""

from datetime import datetime

from django.utils.translation import gettext as _

from faults.models import Break, Fault, FaultPhoto
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import User
from sites.register.services.photos import PreparedPhoto, hiding_verbs, keep_picture

MOST_SHOWN = 60


class UnableToAddFaultPhoto(UnableToAct):
    """The fault takes no further photo, or the break is another fault's."""


@verb(
    name="add a photo of a fault",
    action=Action.ADD_PHOTOS,
    guard="the file is a picture within limits; the break is this fault's; fewer than 60 are shown",
    undo="hide a photo of a fault",
)
def add_fault_photo(
    *,
    fault: Fault,
    photo: PreparedPhoto,
    by: User,
    at: datetime,
    of_break: Break | None = None,
    shows: str = "",
    caption: str = "",
) -> FaultPhoto:
    """Keep a photo of a fault, or of one of its breaks before or after the mend."""
    if of_break is not None and of_break.fault_id != fault.pk:
        raise UnableToAddFaultPhoto(_("This break belongs to another fault."), field="of_break")
    if fault.photos.filter(hidden_on__isnull=True).count() >= MOST_SHOWN:
        raise UnableToAddFaultPhoto(
            _("60 photos are shown here already. Hide one that says little.")
        )
    row = FaultPhoto(fault=fault, of_break=of_break, shows=shows)
    return keep_picture(row, photo, by=by, at=at, caption=caption)


hide_fault_photo, show_fault_photo = hiding_verbs("a photo of a fault", Action.ADD_PHOTOS)

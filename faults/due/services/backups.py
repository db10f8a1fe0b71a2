"""The round of backups, and the mail to the owners when one fails."""

from collections.abc import Callable
from datetime import datetime

from django.conf import settings
from django.db import DatabaseError, transaction
from django.urls import reverse
from django.utils import translation
from django.utils.translation import gettext as _

from faults.due.services.outbox import new_message_id, put_out
from faults.models import OutgoingMail
from sites.backups.services.backing_up import UnableToBackUp
from sites.backups.services.scheduled import back_up_as_scheduled
from sites.kernel.engines.roles import Action, roles_with
from sites.models import User


def back_up_and_tell(*, at: datetime, go_on: Callable[[], None]) -> dict[str, int]:
    """Back up as scheduled; where that fails, mail it to the owners and raise it.

    Raises:
        UnableToBackUp, OSError: as the backup does.
    """
    try:
        return back_up_as_scheduled(at=at, go_on=go_on)
    except (UnableToBackUp, OSError) as error:
        try:
            tell_owners(str(error), at=at)
        except DatabaseError:
            # What went wrong first is what has to be told.
            raise error from None
        raise


@transaction.atomic
def tell_owners(problem: str, *, at: datetime) -> None:
    """Put out a mail to everybody who may see Health: one a day, however often it fails."""
    roles = [role.value for role in roles_with(Action.SEE_HEALTH)]
    people = User.objects.filter(is_active=True, grants__role__in=roles).exclude(email="")
    day = at.date().isoformat()
    for user in people.distinct().order_by("pk"):
        with translation.override(user.language):
            subject, text = _words(problem)
        put_out(
            OutgoingMail(
                key=f"backup failed:{user.pk}:{day}",
                message_id=new_message_id(f"backup-{user.pk}-{day}"),
                user=user,
                to=user.email,
                subject=subject,
                text=text,
                made_at=at,
                next_try_at=at,
            )
        )


def _words(problem: str) -> tuple[str, str]:
    lines = [
        _("The nightly backup of Rejoin could not be made:"),
        "",
        problem,
        "",
        _("It is tried again by itself. Older backups were kept. How they stand:"),
        settings.SITE_URL + reverse("faults:health"),
        "",
    ]
    return _("Rejoin: the backup failed"), "\n".join(lines)

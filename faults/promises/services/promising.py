"""Promise a client a day by which a fault is over, with the chance that is stated."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.utils.translation import gettext as _

from faults.models import CLOSED_STAGES, Fault, Promise
from faults.promises.services.outlook import outlook_of
from faults.promises.services.parts import Part, stations_apart
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Station, User


class UnableToPromise(UnableToAct):
    """A day that cannot be promised so."""


@dataclass(frozen=True)
class Offer:
    """A day that may be promised, and how many times of ten it holds.

    Args:
        station: of which alone it is said; None = of the whole fault.
    """

    by_on: date
    tenths: int
    station: Station | None = None


def offers_of(fault: Fault, *, today: date, at: datetime) -> list[Offer]:
    """Return the days that may be promised for a fault; none for one that is closed.

    Where stations come back by visits of their own, those of each station follow.
    """
    if fault.stage in CLOSED_STAGES:
        return []
    return [
        Offer(today + timedelta(days=each.days), each.tenths, station)
        for station in (None, *stations_apart(fault))
        for each in outlook_of(Part(fault, station), at=at).options()
    ]


@verb(
    name="promise a day",
    action=Action.PLAN_JOBS,
    guard="the fault is open; one of the days that its plan offers now; to whom",
    undo="nothing: it was said. Promise another day",
)
def promise_a_day(
    *, fault: Fault, offer: Offer, said_to: str, by: User, today: date, at: datetime
) -> Promise:
    """Keep which day was promised to whom, and how sure it was when it was said."""
    if fault.stage in CLOSED_STAGES:
        raise UnableToPromise(_("This fault is closed. Open it again first."))
    if not said_to.strip():
        raise UnableToPromise(_("To whom was it promised?"), field="said_to")
    if offer not in offers_of(fault, today=today, at=at):
        raise UnableToPromise(
            _("The plan has changed, and with it the days. Choose again."), field="offer"
        )
    return Promise.objects.create(
        fault=fault,
        station=offer.station,
        by_on=offer.by_on,
        tenths=offer.tenths,
        said_to=said_to.strip(),
        said_on=today,
        said_by=by,
    )

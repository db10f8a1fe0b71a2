"""The verbs on differences: put the register right, note what is to be done there, take it back."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import TYPE_CHECKING

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Decision, Difference, Station, Stopgap, StopgapKind, User
from sites.reconcile.services.differences import Line
from sites.register.services.retire import retire_station
from sites.stopgaps.services.stopgap_rules import StopgapFacts
from sites.stopgaps.services.stopgaps import end_stopgaps, fit_stopgap, reopen_stopgap

if TYPE_CHECKING:
    from django_stubs_ext import StrOrPromise


class UnableToDecide(UnableToAct):
    """A difference about which this cannot be decided."""


class UnableToTakeBack(UnableToAct):
    """A decision that cannot be taken back."""


@dataclass(frozen=True)
class Way:
    """One way to settle a difference; `asks_for` is the action that it takes beside reconciling."""

    difference: Difference
    button: "StrOrPromise"
    done: "StrOrPromise"
    asks_for: Action = Action.RECONCILE


WAYS: dict[str, Way] = {
    "ended": Way(
        Difference.ON_THERE, gettext_lazy("End the stopgap"), gettext_lazy("stopgap ended here"),
        Action.CHANGE_STOPGAPS,
    ),
    "disable there": Way(
        Difference.ON_THERE, gettext_lazy("Disable it there"),
        gettext_lazy("to be disabled in central"), Action.CHANGE_STOPGAPS,
    ),
    "held": Way(
        Difference.OFF_THERE, gettext_lazy("Count it off from today"),
        gettext_lazy("counted off here"), Action.CHANGE_STOPGAPS,
    ),
    "enable there": Way(
        Difference.OFF_THERE, gettext_lazy("Enable it there"),
        gettext_lazy("to be enabled in central"),
    ),
    "added": Way(
        Difference.UNKNOWN_HERE, gettext_lazy("Add the station"), gettext_lazy("added here"),
        Action.EDIT_REGISTER,
    ),
    "not ours": Way(
        Difference.UNKNOWN_HERE, gettext_lazy("Not ours"), gettext_lazy("not ours"),
    ),
    "add there": Way(
        Difference.UNKNOWN_THERE, gettext_lazy("Add it there"),
        gettext_lazy("to be added in central"),
    ),
    "not meant there": Way(
        Difference.UNKNOWN_THERE, gettext_lazy("Not meant to be there"),
        gettext_lazy("not meant to be there"),
    ),
}  # fmt: skip


def ways_for(difference: str) -> dict[str, Way]:
    """Return how a difference can be settled."""
    return {name: way for name, way in WAYS.items() if way.difference == difference}


@verb(
    name="decide on differences with central",
    action=Action.RECONCILE,
    guard="each difference still stands; the way fits it; as the verb that it calls: end a "
    "stopgap, fit one, or add a station",
    undo="take back a decision on a difference",
)
def decide(
    *, lines: Sequence[Line], way: str, by: User, at: datetime, today: date, on: date | None = None
) -> int:
    """Settle differences of one kind in one way; return how many.

    Args:
        on: the day on which a stopgap ended (default: today).
    """
    if not lines:
        raise UnableToDecide(
            _("This difference does not stand any more: somebody put it right meanwhile.")
        )
    for line in lines:
        if way not in ways_for(line.difference):
            raise UnableToDecide(_("%s cannot be settled in this way.") % line.name)
        note = _ACTS[way](line, today, on or today) if way in _ACTS else ""
        Decision.objects.update_or_create(
            property=line.place,
            controller_name=line.controller_name,
            number=line.number,
            difference=line.difference,
            defaults={"decided": way, "note": note, "by": by, "at": at},
        )
    return len(lines)


def _end(line: Line, today: date, on: date) -> str:
    if line.stopgap is None:
        raise UnableToDecide(_("No stopgap stands on %s.") % line.name)
    end_stopgaps(stopgaps=[line.stopgap], on=on, why=_("on in central's own list"), today=today)
    return line.stopgap.ref


def _disable_there(line: Line, today: date, on: date) -> str:
    if line.stopgap is None:
        raise UnableToDecide(_("No stopgap stands on %s.") % line.name)
    if line.stopgap.disabled_in_central_on is None:
        line.stopgap.disabled_in_central_on = today
        line.stopgap.save()
        return line.stopgap.ref
    return ""


def _hold(line: Line, today: date, on: date) -> str:
    """Central has it switched off and nobody says what stands in: no water is the safe reading."""
    assert line.station is not None
    facts = StopgapFacts(
        kind=StopgapKind.SHUT_OFF.value,
        fitted=None,
        first_seen_on=today,
        disabled_in_central_on=today,
        notes=_("Seen off in central's own list; what stands in is not known yet."),
    )
    (stopgap,) = fit_stopgap(stations=[line.station], facts=facts, today=today)
    return stopgap.ref


def _add(line: Line, today: date, on: date) -> str:
    if line.controller is None:
        raise UnableToDecide(
            _("%(place)s has no controller %(name)s. Add the controller first.")
            % {"place": line.place.code, "name": line.controller_name}
        )
    return Station.objects.create(controller=line.controller, number=line.number).ref


_ACTS: dict[str, Callable[[Line, date, date], str]] = {
    "ended": _end,
    "disable there": _disable_there,
    "held": _hold,
    "added": _add,
}


@verb(
    name="take back a decision on a difference",
    action=Action.RECONCILE,
    guard="what it did to the register can be undone: as reopening or ending a stopgap, or "
    "retiring a station",
    undo="decide again",
)
def take_back(*, decision: Decision, today: date) -> None:
    """Undo what a decision did, and ask about the difference again."""
    undo = _UNDOES.get(decision.decided)
    if undo is not None and decision.note:
        try:
            undo(decision.note, today)
        except (Stopgap.DoesNotExist, Station.DoesNotExist):
            raise UnableToTakeBack(_("What it made is not there any more.")) from None
    decision.delete()


def _reopen(ref: str, today: date) -> None:
    reopen_stopgap(stopgap=_stopgap(ref), why=_("ended after central's list by mistake"))


def _not_disabled(ref: str, today: date) -> None:
    stopgap = _stopgap(ref)
    stopgap.disabled_in_central_on = None
    stopgap.save()


def _let_go(ref: str, today: date) -> None:
    """A stopgap that ends on its first day has no length: it takes no day off central."""
    stopgap = _stopgap(ref)
    if stopgap.removed_on is None:
        day = stopgap.counted_from
        end_stopgaps(stopgaps=[stopgap], on=day, why=_("counted by mistake"), today=today)


def _remove(ref: str, today: date) -> None:
    station = Station.objects.select_related("controller__property").get(ref=ref)
    retire_station(station=station, on=today, why=_("added by mistake"), today=today)


def _stopgap(ref: str) -> Stopgap:
    return Stopgap.objects.select_related("station__controller__property").get(ref=ref)


_UNDOES: dict[str, Callable[[str, date], None]] = {
    "ended": _reopen,
    "disable there": _not_disabled,
    "held": _let_go,
    "added": _remove,
}


def is_to_do(decision: Decision) -> bool:
    """Return whether it still has to be done in the central system."""
    return decision.decided in ("disable there", "enable there", "add there")

"""What curves of lasting say, in words."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from faults.models import Cause
from faults.models.fault import HOW_RETURNED_CHOICES
from reports.lasting.services.times import CLIENT, NOT_WRITTEN, RETIRED
from reports.lasting.services.working_out import CAUSE, CREW, PLACE, REASON
from sites.cells.services.shown import Cell, number, share_text
from sites.cells.services.writing import Written
from sites.templatetags.register import REASON_WORDS

MORE_THAN_CHANCE = 0.01

DIMENSIONS = {
    REASON: gettext_lazy("By reason"),
    PLACE: gettext_lazy("By property"),
    CAUSE: gettext_lazy("By cause, from the day the break was found"),
    CREW: gettext_lazy("By the crew that went first, from that day"),
}
_ENDINGS = {
    **dict(HOW_RETURNED_CHOICES),
    RETIRED: gettext_lazy("retired, or not meant for central any more"),
    CLIENT: gettext_lazy("left so by the client's choice"),
    NOT_WRITTEN: gettext_lazy("back, nobody wrote how"),
}


def ending_words(name: str) -> str:
    """Say how a time ended."""
    return str(_ENDINGS.get(name, name))


def group_words(dimension: str, name: str) -> str:
    """Name a group."""
    if dimension == REASON:
        return str(REASON_WORDS[name])
    if dimension == CAUSE:
        return str(Cause(name).label)
    return name


def days_words(days: float | None) -> str:
    """Write a number of days; what was not reached is said to be so."""
    if days is None:
        return _("not reached")
    whole = round(days)
    return ngettext("%(n)s day", "%(n)s days", whole) % {"n": whole}


def median_words(kept: Mapping[str, Any]) -> str:
    """Say by when half are over, with its 95 % limits."""
    middle, low, high = kept["median"]
    if middle is None:
        return _("not reached in %s") % days_words(kept["until"])
    return _("%(days)s (%(low)s to %(high)s)") % {
        "days": days_words(middle),
        "low": _("not known") if low is None else round(low),
        "high": _("not known") if high is None else round(high),
    }


def mean_words(kept: Mapping[str, Any]) -> str:
    """Say how long it lasts on average up to the stated day, with its 95 % limits."""
    mean, se, horizon = kept["mean"]
    return _("%(mean)s ± %(off)s days of the first %(horizon)s") % {
        "mean": round(mean),
        "off": round(1.96 * se),
        "horizon": round(horizon),
    }


def compared_words(by: Mapping[str, Any]) -> str:
    """Say whether groups differ by more than chance."""
    chance = by["chance"]
    if chance is None:
        return _("Too few groups with enough times to compare.")
    said = _("less than 0.001") if chance < 0.001 else f"{chance:.3f}"
    if chance < MORE_THAN_CHANCE:
        return _("They differ by more than chance (log-rank, p %s).") % said
    return _("What differs here may be chance (log-rank, p %s).") % said


def at_days(kept: Mapping[str, Any], days: Sequence[float]) -> list[tuple[int, int, str, str]]:
    """Return for each of these days: how many are at risk then, which share lasts, its limits."""
    lines = []
    steps = kept["steps"]
    for day in days:
        if not kept["from_day"] <= day <= kept["until"]:
            continue
        before = [step for step in steps if step[0] <= day]
        share, low, high = before[-1][2:] if before else (1.0, 1.0, 1.0)
        later = next((step for step in steps if step[0] >= day), None)
        if later is None:
            continue
        limits = f"{round(100 * low)}–{round(100 * high)} %"
        lines.append((round(day), later[1], share_text(share), limits))
    return lines


def written(found: Mapping[str, Any]) -> Written:
    """Return every curve as one list."""
    headings = [_("List"), _("Group"), _("Times off"), _("Over"), _("Counted from day"),
                _("Half are over by day"), _("At the earliest"), _("At the latest"),
                _("Mean days"), _("Standard error"), _("Mean up to day"), _("Day"),
                _("At risk"), _("Share that still lasts"), _("At least"), _("At most")]  # fmt: skip

    def lines() -> Iterator[list[Any]]:
        groups = [(_("all"), _("all"), found["all"])] if found["all"] else []
        groups += [
            (str(DIMENSIONS[by["name"]]), group_words(by["name"], each["name"]), each)
            for by in found["by"]
            for each in by["groups"]
        ]
        for name, group, kept in groups:
            numbers = [
                kept["from_day"],
                *kept["median"],
                *(round(each, 1) for each in kept["mean"]),
            ]
            start = [name, group, kept["times"], kept["ended"], *map(_cell, numbers)]
            for step in kept["steps"]:
                yield [*start, *(number(round(each, 4)) for each in step)]

    return Written(_("How long stopgaps last"), headings, lines)


def _cell(value: float | None) -> Cell:
    return "" if value is None else number(value)

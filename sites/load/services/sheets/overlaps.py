"""The days of each station as a whole: it is off central by one stopgap at a time."""

from datetime import date

from django.utils.translation import gettext as _

from sites.load.services.planning import Load
from sites.load.services.rows import Row
from sites.load.services.work import is_saved
from sites.models import OFF_CENTRAL_KINDS, Station, Stopgap


def settle_overlaps(load: Load) -> None:
    """Name stopgaps of one station that share a day, before the database refuses them."""
    rows: dict[int, Row] = load.notes.get("rows of stopgaps", {})
    stations: dict[int, Station] = load.notes.get("stations with stopgaps", {})
    told: set[int] = load.notes.setdefault("overlaps told", set())
    for key, station in stations.items():
        _settle_station(load.book.stopgaps.get(key, []), rows, told)
        if any(_is_planned(load, each) for each in load.book.stopgaps.get(key, [])):
            load.work.touch(station)
    words = load.notes.pop("unknown reasons", {})
    if words:
        shown = ", ".join(f"'{word}'" for word in list(words)[:20])
        load.remarks.append(
            _(
                "Reasons that say nothing to Rejoin are kept as written, and count as not known: "
                "%(words)s."
            )
            % {"words": shown}
        )


def _is_planned(load: Load, stopgap: Stopgap) -> bool:
    return not is_saved(stopgap) or stopgap.pk in load.work.changed.get(Stopgap, {})


def _settle_station(stopgaps: list[Stopgap], rows: dict[int, Row], told: set[int]) -> None:
    off = [
        (each, first)
        for each in stopgaps
        if each.kind in OFF_CENTRAL_KINDS
        and (first := _first_day(each)) is not None
        and each.removed_on != first
    ]
    off.sort(key=lambda pair: pair[1])
    held: Stopgap | None = None
    for each, first in off:
        if held is not None and (held.removed_on is None or held.removed_on > first):
            _tell(held, each, rows, told)
        if held is None or held.removed_on is None:
            held = held or each
        elif each.removed_on is None or each.removed_on > held.removed_on:
            held = each


def _first_day(stopgap: Stopgap) -> date | None:
    """A stopgap whose days are a problem of their own has none."""
    found: date | None = stopgap.counted_from
    return found


def _tell(earlier: Stopgap, later: Stopgap, rows: dict[int, Row], told: set[int]) -> None:
    """At the row of the later one, or of the earlier one where only that is in the file."""
    row, other = rows.get(id(later)), earlier
    if row is None:
        row, other = rows.get(id(earlier)), later
    if row is None or id(later) in told:
        return
    told.add(id(later))
    other_row = rows.get(id(other))
    where = (
        _("row %(row)d of %(sheet)s")
        % {"row": other_row.number, "sheet": other_row.sheet.report.name}
        if other_row
        else _("the register")
    )
    row.problem(
        "fitted" if "fitted" in row.sheet.columns else "stopgap since",
        _(
            "The station is off central from %(from)s to %(to)s already, by the %(kind)s of "
            "%(where)s. Fill in when that one was removed, or take one of the two out."
        )
        % {
            "from": other.counted_from.isoformat(),
            "to": other.removed_on.isoformat() if other.removed_on else _("today"),
            "kind": other.kind,
            "where": where,
        },
    )

"""Sheet stopgaps: what stands in for a wire, since when, and why."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date

from django.utils.translation import gettext as _

from sites.cells.engines.days import Window, is_inside
from sites.cells.services.columns import Choice, Text, words_for
from sites.cells.services.day_columns import Day, Span
from sites.load.services.book import Shelf
from sites.load.services.identity import IdentityMap
from sites.load.services.load import Load, PlannedKind
from sites.load.services.matching import tell_repeated
from sites.load.services.refs import BroughtRefs, ref_of
from sites.load.services.renumbered import FormerNumbers, refuse_old_number
from sites.load.services.rows import Row, Sheet
from sites.load.services.sheets.common import CONTROLLER, NOTES, PROPERTY, REF, STATION
from sites.load.services.sheets.devices import plan_device, settle_batteries
from sites.load.services.sheets.overlaps import StopgapNotes, settle_overlaps
from sites.load.services.work import is_saved
from sites.models import Central, MainValve, Station, Stopgap, StopgapKind, counted_from
from sites.stopgaps.engines.reasons import read_reason
from sites.stopgaps.engines.spells import Reason


def _reason(stopgap: Stopgap, *_others: object) -> str:
    """The words as written, as long as they still mean the reason that holds."""
    given = stopgap.reason_given
    if given and (read_reason(given) or Reason.NOT_KNOWN).value == stopgap.reason:
        return given
    return "" if stopgap.reason == Reason.NOT_KNOWN and not given else stopgap.reason


COLUMNS = (
    REF,
    PROPERTY,
    CONTROLLER,
    STATION,
    Choice(
        "kind",
        also="type|stopgap|what|tipo",
        required=True,
        shows="kind",
        words=words_for(
            [kind.value for kind in StopgapKind],
            battery_timer="timer|battery|batterytimer|battery controller|node|temporizador|pilas",
            by_hand="hand|manual|manually|byhand|a mano",
            shut_off="off|shut|closed|turned off|cerrada",
            held_open="open|bleeding|abierta",
            surface_wire="surface|temporary wire|temp wire|above ground wire|jumper",
            doubled="double|doubled up|paired|piggyback",
        ),
    ),
    Span("fitted", also="since|installed|fitted on|from|date fitted|instalado|desde",
         ends="fitted"),
    Day("first seen", also="seen|first noticed|found", attribute="first_seen_on"),
    Day("removed", also="until|to|removed on|date removed|ended|hasta|retirado",
        attribute="removed_on"),
    Text("device", also="timer|device id|device label|timer id|label", name=True, longest=60,
         shows="device.name"),
    Text("battery kind", also="battery|batteries|battery type", longest=40,
         shows="device.battery_kind"),
    Day("battery changed", also="battery date|batteries changed|last battery change",
        shows="device.battery_changed_on"),
    Text("reason", also="cause|why|cause or reason|razon|motivo", longest=200, shows=_reason),
    Day("agreed until", also="allowed until|agreed to", attribute="agreed_until",
        may_be_ahead=True),
    Choice(
        "master valve",
        also="master valve then|pump then|master|valvula maestra",
        attribute="main_valve",
        words=words_for(
            [each.value for each in MainValve],
            same_minutes="opens in the same minutes|with it|same times|mismos minutos",
            held_open="open|bled open|always open|abierta",
            removed="taken out|bypassed|out|retirada",
            stays_shut="shut|closed|cerrada",
        ),
    ),
    Text("end reason", also="why ended|reason ended|ended because", attribute="end_reason",
         longest=200),
    Text("source key", also="key|source id|id|record id", longest=60, shows="source_key"),
    NOTES,
)  # fmt: skip
CLOSE_DAYS = 14


@dataclass
class _Seen:
    """What the rows of one sheet have brought so far."""

    refs: BroughtRefs
    rows: IdentityMap[Stopgap, Row] = field(default_factory=IdentityMap)


def plan(load: Load, sheet: Sheet) -> None:
    """Plan the stopgaps, then look at each station's days as a whole."""
    rows = list(load.rows_unclosed(sheet))
    seen = _Seen(BroughtRefs(sheet, map(ref_of, rows)))
    for row in rows:
        station = load.station_of(row) if row.is_complete() else None
        if station is not None:
            _plan_row(load, row, station, seen)
    settle_batteries(load)
    settle_overlaps(load)
    for row in rows:
        row.close()
    seen.refs.tell()


def _plan_row(load: Load, row: Row, station: Station, seen: _Seen) -> None:
    what = f"{station.controller.property.code} {station}"
    held = load.book.stopgaps.setdefault(station, [])
    window = row.get("fitted")
    if "fitted" in row.cells and window is None and not row.erases("fitted"):
        row.read_all()
        return
    stopgap = _find(load, row, station, window, seen.refs)
    if stopgap is not None and (first := seen.rows.get(stopgap)):
        tell_repeated(row, first)
        return
    if stopgap is None:
        if window is None and not row.has("first seen"):
            row.problem(
                "fitted",
                _("Since when? Fill in when it was fitted (a year will do) or first seen."),
            )
            return
        stopgap = new_stopgap(load, station, row.get("kind"))
        _remark_double(row, stopgap, held, window)
        seen.refs.keep(row, Shelf(), stopgap)
        held.append(stopgap)
        row.add(what)
    seen.rows[stopgap] = row
    _plan_fields(load, row, stopgap, window, what)
    load.notes(StopgapNotes).take(stopgap, row)


def _find(
    load: Load, row: Row, station: Station, window: Window | None, refs: BroughtRefs
) -> Stopgap | None:
    """By `ref`, else by source key, else by station, kind and day fitted."""
    held = load.book.stopgaps.get(station, [])
    found = _by_ref(row, held) or _by_key(row, held, window)
    if row.has("ref"):
        if found is None or found.ref != ref_of(row):
            refs.may_be_new(row, found if found and is_saved(found) else None)
            return None
        return found
    former = load.notes(FormerNumbers).holder(station.controller, station.number)
    if found is None and former is not None:
        theirs = _by_key(row, load.book.stopgaps.get(former, []), window)
        refuse_old_number(row, former, theirs)
    return found


def _by_ref(row: Row, held: Sequence[Stopgap]) -> Stopgap | None:
    ref = ref_of(row)
    return next((each for each in held if each.ref == ref), None) if ref else None


def _by_key(row: Row, held: Sequence[Stopgap], window: Window | None) -> Stopgap | None:
    if key := row.get("source key"):
        return next((each for each in held if each.source_key == key), None)
    same = (each for each in held if each.kind == row.get("kind"))
    return next((each for each in same if _is_same_day(row, each, window)), None)


def _is_same_day(row: Row, stopgap: Stopgap, window: Window | None) -> bool:
    if window is None or stopgap.fitted_earliest is None or stopgap.fitted_latest is None:
        return window is None and (
            row.has("first seen") and stopgap.first_seen_on == row.get("first seen")
        )
    known = stopgap.fitted_earliest, stopgap.fitted_latest
    return is_inside(known, window) or is_inside(window, known)


def new_stopgap(load: Load, station: Station, kind: str) -> Stopgap:
    """Make a stopgap; its days are set before it is written."""
    stopgap = Stopgap(station=station, kind=kind)
    load.work.create(stopgap)
    return stopgap


def _plan_fields(load: Load, row: Row, stopgap: Stopgap, window: Window | None, what: str) -> None:
    if is_saved(stopgap):
        load.put(row, stopgap, "kind", row.get("kind"), what=what, to="kind")
    if window is not None:
        load.put_window(row, stopgap, "fitted", window, what=what)
    load.copy(row, stopgap, what)
    if key := row.get("source key"):
        load.put(row, stopgap, "source key", key, what=what, to="source_key")
    if row.has("reason"):
        plan_reason(load, row, stopgap, row.get("reason") or "", what, "reason")
    plan_device(load, row, stopgap, what)
    settle_days(load, row, stopgap)
    controller = stopgap.station.controller
    if controller.central == Central.NOT_MEANT and stopgap.removed_on is None:
        row.remark(
            _("an open stopgap on controller %(name)s, which is not meant to be linked: it counts "
              "in no ratio.") % {"name": controller.name}
        )  # fmt: skip


def plan_reason(load: Load, row: Row, stopgap: Stopgap, text: str, what: str, name: str) -> None:
    """Keep the reason as written beside the one that it means."""
    reason = read_reason(text)
    if reason is None:
        # One remark for the whole load names all words that say nothing to us.
        load.notes(StopgapNotes).unknown_reasons[text] = None
    if stopgap.reason_given == text or (is_saved(stopgap) and stopgap.reason == text):
        return
    if is_saved(stopgap):
        row.change(what, row.heading(name), stopgap.reason_given or stopgap.reason, text)
    load.work.change(stopgap, "reason_given", text)
    load.work.change(stopgap, "reason", (reason or Reason.NOT_KNOWN).value)


def settle_days(load: Load, row: Row, stopgap: Stopgap) -> None:
    """Derive the counted day from the others, and refuse days that contradict each other."""
    fitted, seen, removed = stopgap.fitted_latest, stopgap.first_seen_on, stopgap.removed_on
    if fitted is None and seen is None:
        if not row.problems:
            row.problem("fitted", _("A stopgap needs the day fitted, or the day first seen."))
        return
    earliest = stopgap.fitted_earliest
    if removed is not None and earliest is not None and removed < earliest:
        row.problem(
            "removed",
            _("This was removed before it was fitted (%(day)s). Correct one of the two days.")
            % {"day": earliest.isoformat()},
        )
    elif removed is not None and seen is not None and removed < seen:
        row.problem("removed", _("This was removed before it was first seen. Correct either day."))
    if seen is not None and earliest is not None and seen < earliest:
        row.problem("first seen", _("This was seen before it was fitted. Correct either day."))
    first = counted_from(fitted, seen, removed)
    if _counted(stopgap) != first:
        load.work.change(stopgap, "counted_from", first)


def _counted(stopgap: Stopgap) -> date | None:
    """A new stopgap has no counted day yet."""
    found: date | None = stopgap.counted_from
    return found


def _remark_double(row: Row, new: Stopgap, held: Sequence[Stopgap], window: Window | None) -> None:
    """Two that nearly match are shown side by side and never merged."""
    day = (window[1] if window else None) or row.get("first seen")
    for each in held:
        other = _counted(each)
        if other is None or day is None or each.kind != new.kind:
            continue
        if abs((other - day).days) <= CLOSE_DAYS:
            row.remark(
                _("nearly the same as the %(kind)s on %(station)s counted from %(day)s. Both are "
                  "kept: check that they are two.")
                % {"kind": each.kind, "station": str(each.station), "day": other.isoformat()}
            )  # fmt: skip
            return


KIND = PlannedKind(
    "stopgaps",
    COLUMNS,
    plan=plan,
    also="stopgap|timers|battery timers|timer list|temporizadores|temporary fixes",
    marks=frozenset({"fitted", "battery changed", "agreed until", "removed"}),
    model=Stopgap,
)

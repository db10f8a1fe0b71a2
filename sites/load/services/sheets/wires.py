"""Sheet wires: conductors, where each lies, what it does at points, which terminal it is on."""

from collections import Counter
from collections.abc import Iterable

from django.utils.translation import gettext as _

from sites.cells.services.columns import Choice, Text, words_for
from sites.cells.services.day_columns import Day, Span
from sites.cells.services.size_and_names import Names, Size
from sites.load.services.book import Named, named
from sites.load.services.identity import Identity, IdentitySet
from sites.load.services.load import Load, PlannedKind
from sites.load.services.rows import Row, Sheet
from sites.load.services.sheets.common import PROPERTY, REF
from sites.load.services.sheets.ground import point_named
from sites.load.services.sheets.lies import Lies, is_implied, leg_there
from sites.load.services.work import is_saved
from sites.models import (
    AtPoint,
    Leg,
    Point,
    Property,
    Termination,
    Wire,
    WireAtPoint,
    WireKind,
)

COLUMNS = (
    REF,
    PROPERTY,
    Text("wire", also="wire name|wire id|conductor|cable no|hilo", required=True, name=True,
         longest=60, shows="name"),
    Choice(
        "kind",
        also="wire kind|type|wire type|tipo",
        required=True,
        attribute="kind",
        words=words_for([kind.value for kind in WireKind], hot="control|station|signal|live",
                        common="com|neutral|ground|comun", spare="extra|unused"),
    ),
    Text("colour", also="color|colour and stripe|color and stripe", attribute="colour", longest=40),
    Size("size", also="gauge|awg|wire size|wire gauge|calibre", attribute="size"),
    Text("cable", also="cable name|bundle", attribute="cable", longest=60),
    Text("controller", also="clock|ctrl|controller name|controlador", name=True, longest=60,
         shows="terminal_on.controller.name"),
    Text("terminal", also="term|output", longest=16, shows="terminal_on.terminal"),
    Span("laid", also="installed|install date|installed in|year laid|laid in|year", ends="laid"),
    Day("retired", also="out of use since|abandoned", attribute="retired_on"),
    Names("legs", also="route|leg|lies in|path|tramos", shows="legs_named"),
    Names("spliced at", also="splices|splice boxes|spliced in", shows="spliced_at"),
)  # fmt: skip


def plan(load: Load, sheet: Sheet) -> None:
    """Plan the wires."""
    lies = load.notes(Lies)

    def key(row: Row) -> Named | None:
        place = load.property_of(row)
        return named(place, row.get("wire")) if place else None

    for row, known, found in load.matched(sheet, load.book.wires, key):
        place = load.property_of(row)
        if place is None or load.is_elsewhere(row, known, place):
            continue
        wire = known or Wire(property=place, name=row.get("wire"))
        what = f"{place.code} {row.get('wire')}"
        if known is None:
            load.work.create(wire)
            load.book.wires.put(wire, found)
            row.add(what)
        load.put(row, wire, "wire", row.get("wire"), what=what, to="name")
        load.copy(row, wire, what)
        if "laid" in row.cells and (row.get("laid") or row.erases("laid")):
            load.put_window(row, wire, "laid", row.get("laid"), what=what)
        _plan_terminal(load, row, lies, place, wire, what)
        _plan_legs(load, row, lies, place, wire, what)
        _plan_splices(load, row, lies, place, wire, what)
    _retire_left(load, sheet, lies)


def _retire_left(load: Load, sheet: Sheet, lies: Lies) -> None:
    """Retire implied legs that surveyed ones have left without any wire."""
    if not load.work.removed:
        return
    held = IdentitySet(leg for legs in lies.legs.values() for leg in legs)
    left = [
        leg
        for leg in load.book.legs.by_ref.values()
        if is_implied(leg) and leg.retired_on is None and leg not in held
    ]
    for leg in left:
        load.work.change(leg, "retired_on", load.today)
    if left:
        sheet.report.remark(
            _("%(count)d legs that were only implied hold no wire any more and are retired.")
            % {"count": len(left)}
        )


def _plan_terminal(
    load: Load, row: Row, lies: Lies, place: Property, wire: Wire, what: str
) -> None:
    name = row.get("controller")
    if name is None:
        if row.has("terminal") and wire not in lies.terminals:
            row.problem("terminal", _("A terminal needs its controller. Fill in the controller."))
        return
    controller = load.controller_of(row, place)
    if controller is None:
        return
    held = lies.terminals.get(wire)
    terminal = row.get("terminal")
    if held is None:
        held = Termination(wire=wire, controller=controller, terminal=terminal or "")
        load.work.create(held)
        lies.terminals[wire] = held
    load.refer(row, held, "controller", controller, what=what)
    if terminal is not None or row.erases("terminal"):
        load.put(row, held, "terminal", terminal or "", what=what, to="terminal")
    if wire.retired_on and held.to_on is None:
        load.work.change(held, "to_on", wire.retired_on)


def _plan_legs(load: Load, row: Row, lies: Lies, place: Property, wire: Wire, what: str) -> None:
    labels = row.get("legs")
    if labels is None and not row.erases("legs"):
        return
    found = [leg_there(load, row, place, "legs", label) for label in labels or ()]
    wanted = IdentitySet(leg for leg in found if leg is not None)
    held = lies.legs_of(wire)
    if is_saved(wire) and wanted != IdentitySet(held):
        old = "; ".join(sorted(str(leg.label) for leg in held))
        row.change(what, "legs", old, row.text("legs"))
    left = [leg for leg in wanted if leg not in held and leg.retired_on]
    for leg in left:
        _tell_retired(row, leg)
    if left:
        return
    for leg in [leg for leg in held if leg not in wanted]:
        load.work.remove(held.pop(leg))
    for leg in wanted:
        if leg not in held:
            lies.lay(load, wire, leg)
    _remark_unconnected(row, wire, wanted)
    _plan_leaves(load, lies, wire)


def _tell_retired(row: Row, leg: Leg) -> None:
    row.problem(
        "legs",
        _(
            "Leg %(leg)s is retired since %(day)s: it was split, or left by its wires. The file "
            "is older than that. Export a new one, or name the legs that lie there now."
        )
        % {"leg": str(leg), "day": leg.retired_on.isoformat() if leg.retired_on else ""},
    )


def _remark_unconnected(row: Row, wire: Wire, legs: Iterable[Leg]) -> None:
    if len(_pieces(legs)) > 1:
        row.remark(
            _("the legs of wire %(wire)s do not join: one or more are missing.")
            % {"wire": wire.name}
        )


def _pieces(legs: Iterable[Leg]) -> list[set[Identity]]:
    """Points that the legs join, one set for each connected piece."""
    pieces: list[set[Identity]] = []
    for leg in legs:
        ends = {Identity(leg.from_point), Identity(leg.to_point)}
        joined = [piece for piece in pieces if piece & ends]
        pieces = [piece for piece in pieces if not piece & ends]
        pieces.append(ends.union(*joined))
    return pieces


def _plan_leaves(load: Load, lies: Lies, wire: Wire) -> None:
    """Where only one of its legs comes to a point, the wire ends there, spliced or not."""
    points = [point for leg in lies.legs_of(wire) for point in (leg.from_point, leg.to_point)]
    ends = Counter(map(Identity, points))
    held = lies.at_points(wire)
    for point in IdentitySet(points):
        if ends[Identity(point)] == 1 and point not in held:
            _put_at(load, lies, wire, point, AtPoint.ENDS)
    for point, at in held.items():
        if at.how == AtPoint.ENDS and ends[Identity(point)] != 1:
            load.work.change(at, "how", AtPoint.NOT_KNOWN)


def _plan_splices(load: Load, row: Row, lies: Lies, place: Property, wire: Wire, what: str) -> None:
    names = row.get("spliced at")
    if names is None and not row.erases("spliced at"):
        return
    found = [point_named(load, row, place, "spliced at", name) for name in names or ()]
    wanted = IdentitySet(point for point in found if point is not None)
    held = lies.at_points(wire)
    spliced = IdentitySet(point for point, at in held.items() if at.how == AtPoint.SPLICED)
    if is_saved(wire) and spliced != wanted:
        old = "; ".join(sorted(point.name for point in spliced))
        row.change(what, "spliced at", old, row.text("spliced at"))
    for point in spliced - wanted:
        load.work.change(held[point], "how", AtPoint.NOT_KNOWN)
    for point in wanted:
        _put_at(load, lies, wire, point, AtPoint.SPLICED)
    _remark_off_route(row, lies, wire, wanted)


def _put_at(load: Load, lies: Lies, wire: Wire, point: Point, how: AtPoint) -> None:
    held = lies.at_points(wire)
    at = held.get(point)
    if at is None:
        at = WireAtPoint(wire=wire, point=point, how=how)
        load.work.create(at)
        held[point] = at
    elif at.how != how:
        load.work.change(at, "how", how)


def _remark_off_route(row: Row, lies: Lies, wire: Wire, points: Iterable[Point]) -> None:
    legs = lies.legs_of(wire)
    on_route = IdentitySet(point for leg in legs for point in (leg.from_point, leg.to_point))
    away = [point.name for point in points if point not in on_route]
    if legs and away:
        row.remark(
            _("wire %(wire)s is spliced at %(points)s, where none of its legs comes.")
            % {"wire": wire.name, "points": ", ".join(away)}
        )


KIND = PlannedKind(
    "wires", COLUMNS, plan=plan, also="wire|conductors|wire list|cables|hilos", model=Wire
)

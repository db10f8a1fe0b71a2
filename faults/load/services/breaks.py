"""Sheet breaks: found places of damage, by fault and running number."""

from collections import defaultdict

from django.utils.translation import gettext as _

from faults.load.services.faults import Cases
from faults.load.services.splits import follow_split
from faults.models import Break, Cause, Damage, Fault
from sites.cells.engines.measures import DEPTH, LENGTH
from sites.cells.services.columns import Choice, Measure, Text, words_for
from sites.cells.services.day_columns import Day
from sites.cells.services.size_and_names import Names
from sites.load.services.identity import Identity, IdentityMap
from sites.load.services.load import Load, PlannedKind
from sites.load.services.rows import Row, Sheet
from sites.load.services.sheets.common import LATITUDE, LONGITUDE, NOTES, PROPERTY
from sites.load.services.sheets.ground import leg_name, plan_point
from sites.load.services.sheets.lies import Lies, leg_there, wire_there
from sites.load.services.work import is_saved
from sites.models import Leg, Point, Property

# A break on a leg that is retired keeps no place along it.
COLUMNS = (
    Text("property code", also=PROPERTY.also, shows="property.code"),
    Text("fault key", also="fault|fault id|key|case|ticket", required=True, name=True, longest=60,
         shows=lambda _found, fault: fault.key or fault.ref),
    Text("leg", also="leg label|run|tramo", name=True, longest=60,
         shows=lambda found, _fault: leg_name(found.leg)),
    Measure("feet", also="feet along|distance|distance along|metres|meters|at",
            attribute="feet_along", dimension=LENGTH,
            shows=lambda found, _fault: found.feet_along if leg_name(found.leg) else None),
    Text("from point", also="from|measured from|from box", name=True, longest=60,
         shows=lambda found, _fault: found.from_point if leg_name(found.leg) else None),
    Day("found", also="found on|date found|date|encontrado", attribute="found_on"),
    Measure("depth", also="depth below ground|profundidad", attribute="depth_in", dimension=DEPTH),
    Choice(
        "cause",
        also="reason|causa",
        required=True,
        attribute="cause",
        words=words_for(
            [cause.value for cause in Cause],
            rodent="gopher|mouse|rat|chewed|squirrel|roedor",
            shovel="spade|digging|pala",
            root="roots|tree root|raiz",
            rock="stone|rocks|piedra",
            splice="bad splice|splices|connector|empalme",
            corrosion="corroded|rust",
            trenching="trench|excavator|backhoe|zanja",
            lightning="surge|rayo",
            age="old|old age|worn",
            valve_or_water="valve|water|solenoid|coil",
            not_known="unknown|?|other",
        ),
    ),
    Choice("cut or nick", also="damage|cut|nick", attribute="damage",
           words=words_for([damage.value for damage in Damage], cut="severed|cut through",
                           nick="nicked|scraped")),
    Names("wires", also="wire|conductors|hilos",
          shows=lambda found, _fault: sorted(wire.name for wire in found.wires.all())),
    LATITUDE,
    LONGITUDE,
    Day("mended", also="mended on|repaired|date repaired|reparado", attribute="mended_on"),
    Text("how", also="how mended|repair|reparacion", attribute="how_mended", longest=200),
    NOTES,
)  # fmt: skip
WiresOf = dict[int, set[int]]


def plan(load: Load, sheet: Sheet) -> None:
    """Plan the breaks: the nth row of a fault is its break number n."""
    cases = load.notes(Cases)
    faults = {fault.pk: fault for fault in cases.shelf.by_ref.values()}
    known: dict[tuple[Identity, int], Break] = {}
    wires: WiresOf = defaultdict(set)
    legs = {leg.pk: leg for leg in load.book.legs.by_ref.values()}
    points = {point.pk: point for point in load.book.points.by_ref.values()}
    for found in load.book.rows_of(Break, "fault__property_id"):
        found.leg = legs.get(found.leg_id or 0)
        found.from_point = points.get(found.from_point_id or 0)
        known[Identity(faults[found.fault_id]), found.running_number] = found
    for link in load.book.rows_of(Break.wires.through, "break__fault__property_id"):
        wires[link.break_id].add(link.wire_id)
    counts: IdentityMap[Fault, int] = IdentityMap()
    for row in load.rows(sheet):
        fault = _fault(load, row, cases) if row.is_complete() else None
        if fault is None:
            continue
        number = counts[fault] = counts.get(fault, 0) + 1
        _plan_row(load, row, fault, known.get((Identity(fault), number)), number, wires)


def _fault(load: Load, row: Row, cases: Cases) -> Fault | None:
    place = load.property_of(row) if row.has("property code") else None
    faults = cases.by_key(row.get("fault key"), place)
    if len(faults) == 1:
        row.system = load.answers.units or faults[0].property.units
        return faults[0]
    row.problem(
        "fault key",
        _("Several properties have a fault of this key. Add a column 'property code'.")
        if faults
        else _("There is no fault of this key. Correct it, or add it to the sheet of faults."),
    )
    return None


def _plan_row(
    load: Load, row: Row, fault: Fault, found: Break | None, number: int, wires: WiresOf
) -> None:
    what = f"{fault} / {number}"
    if found is None:
        found = Break(fault=fault, running_number=number)
        load.work.create(found)
        row.add(what)
    place = fault.property
    follow_split(load, row, place, found)
    leg = _plan_leg(load, row, place, found, what)
    load.copy(row, found, what)
    point = plan_point(load, row, place, found, "from point", what=what)
    _check_place(row, found, leg, point)
    _check_days(row, found, fault)
    _plan_wires(load, row, place, found, leg, wires, what)


def _plan_leg(load: Load, row: Row, place: Property, found: Break, what: str) -> Leg | None:
    old, leg = found.leg, None
    if label := row.get("leg"):
        leg = leg_there(load, row, place, "leg", label)
        if leg is None:
            return old
        if leg.retired_on is not None and leg != old:
            row.problem(
                "leg",
                _("Leg %(leg)s was retired on %(day)s. Name the leg that lies there now.")
                % {"leg": str(leg), "day": leg.retired_on.isoformat()},
            )
            return old
    elif not row.erases("leg"):
        return old
    load.refer(row, found, "leg", leg, what=what)
    return leg


def _check_place(row: Row, found: Break, leg: Leg | None, point: Point | None) -> None:
    if found.feet_along is not None and leg is None:
        if row.has("feet") and not row.has("leg"):
            row.problem(
                "feet", _("Feet along which leg? Fill in the leg, or leave the feet empty.")
            )
        return
    if leg is None:
        return
    if found.feet_along is not None and found.feet_along > leg.length_ft * (1 + 1e-9):
        unit = row.unit("feet") if "feet" in row.sheet.columns else "ft"
        row.problem(
            "feet",
            _("This is beyond the end of leg %(leg)s, which is %(length)s long. Correct either.")
            % {"leg": str(leg), "length": f"{LENGTH.from_stored(leg.length_ft, unit):.6g} {unit}"},
        )
    if point is not None and point not in (leg.from_point, leg.to_point):
        row.problem(
            "from point",
            _("Leg %(leg)s does not end at %(point)s, but at %(start)s and %(end)s. Correct it.")
            % {
                "leg": str(leg),
                "point": point.name,
                "start": leg.from_point.name,
                "end": leg.to_point.name,
            },
        )


def _check_days(row: Row, found: Break, fault: Fault) -> None:
    if found.found_on and found.mended_on and found.mended_on < found.found_on:
        row.problem("mended", _("This was mended before it was found. Correct either day."))
    if found.found_on and fault.reported_on and found.found_on < fault.reported_on:
        row.remark(_("found before its fault was reported."))


def _plan_wires(
    load: Load,
    row: Row,
    place: Property,
    found: Break,
    leg: Leg | None,
    known: WiresOf,
    what: str,
) -> None:
    names = row.get("wires")
    if names is None:
        return
    wires = [wire for name in names if (wire := wire_there(load, row, place, "wires", name))]
    away = [w.name for w in wires if leg and leg not in load.notes(Lies).legs_of(w)]
    if away:
        row.remark(
            _("wire %(wires)s is not known to lie in leg %(leg)s.")
            % {"wires": ", ".join(away), "leg": str(leg)}
        )
    held = known[found.pk] if found.pk else set()
    new = [wire for wire in wires if not is_saved(wire) or wire.pk not in held]
    if new and is_saved(found):
        row.change(what, "wires", "", "; ".join(wire.name for wire in new))
    for wire in new:
        load.work.create(Break.wires.through(**{"break": found, "wire": wire}))


KIND = PlannedKind(
    "breaks",
    COLUMNS,
    plan=plan,
    also="break|damage|repairs|roturas",
    marks=frozenset({"feet", "cut or nick", "mended"}),
)

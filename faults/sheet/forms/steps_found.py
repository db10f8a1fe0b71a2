"""The step "found": the place along the leg, the position, the depth, the cause, the wires."""

from collections.abc import Sequence

from django.utils.translation import gettext as _

from faults.cases.forms.breaks import BreakForm
from faults.cases.queries import wires_of_stations
from faults.models import Fault
from faults.sheet.forms.fields import (
    Plain,
    asked,
    depth,
    field,
    form,
    length,
    options,
    photo_form,
    step,
)
from faults.sheet.forms.steps import BEFORE_FOUND, local_law
from faults.work.forms.moves import FindForm
from sites.ground.services.keeping import length_in_words
from sites.models import Leg, WireLeg

MOST_LEGS = 60


def found(fault: Fault, legs: Sequence[Leg]) -> Plain:
    """Where it is, what did it, and which wires: or that it was not the wire."""
    return step(
        "found",
        _("Found"),
        cautions=[local_law()],
        legs=legs_plain(fault, legs),
        forms=[
            form("found", _("A break"), _("Keep this break"), _fields(fault, legs)),
            photo_form(body={"shows": "before"}, of_break=True),
            _outside(),
        ],
    )


def _fields(fault: Fault, legs: Sequence[Leg]) -> list[Plain]:
    place, fields = fault.property, BreakForm.base_fields
    named = [(leg.pk, str(leg)) for leg in legs]
    return [
        *asked(fields, "leg", leg={"type": "leg", "options": options(named)}),
        *asked(fields, "from_point", from_point={"type": "end"}),
        length("feet_along", _("Along the leg"), place),
        *asked(fields, "wires", wires={"type": "wires"}),
        field("position", "position", _("Where you stand")),
        depth("depth_in", _("Depth"), place, helper=True),
        *asked(fields, "cause", "damage", "who_was_on_site", "notes", notes={"most": 500}),
    ]


def _with_ends(leg: Leg) -> str:
    """A leg by its label and the boxes at its ends: those are what is seen there."""
    return f"{leg}, {leg.from_point} – {leg.to_point}" if leg.label else str(leg)


def _outside() -> Plain:
    needed = {"required": True}
    fields = asked(FindForm.base_fields, "cause_outside", "side", cause_outside=needed)
    return form(
        "outside", _("It was not the wire"), _("Keep what it was"), fields,
        starts=BEFORE_FOUND, folded=True, none=_("These stations are found already."),
    )  # fmt: skip


def legs_plain(fault: Fault, legs: Sequence[Leg]) -> list[Plain]:
    """Return legs with their ends and the wires that lie in them; the fault's own come first."""
    own = wires_of_stations(fault)
    wires: dict[int, list[list[object]]] = {}
    rows = WireLeg.objects.filter(leg__in=legs, wire__retired_on__isnull=True)
    for one in rows.select_related("wire").order_by("wire__name", "wire"):
        wires.setdefault(one.leg_id, []).append([one.wire_id, one.wire.name, one.wire_id in own])
    return [
        {
            "id": leg.pk,
            "name": _with_ends(leg),
            "length_ft": leg.length_ft,
            "length": length_in_words(leg.length_ft, fault.property),
            "ends": [
                [leg.from_point_id, str(leg.from_point)],
                [leg.to_point_id, str(leg.to_point)],
            ],
            "wires": sorted(wires.get(leg.pk, []), key=lambda each: not each[2]),
        }
        for leg in legs
    ]

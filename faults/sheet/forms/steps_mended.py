"""The steps after a break is found: mended, proven, returned."""

from django.utils.translation import gettext as _

from faults.cases.engines.stages import HowReturned, Stage
from faults.cases.services.after_mend import RETURN_WORDS
from faults.cases.services.opened import ground_was_opened
from faults.cases.services.proof_asks import minutes_wanted, notes_on, wanted_of
from faults.cases.services.told import RETURN_LIST
from faults.models import HOW_RETURNED_CHOICES
from faults.sheet.forms.fields import (
    Plain,
    asked,
    field,
    form,
    number,
    options,
    photo_form,
    step,
    tick,
)
from faults.sheet.forms.steps import Visit
from faults.work.forms.moves import MendForm, ProveForm, ReturnForm

BEFORE_MENDED = [Stage.FOUND.value, Stage.AGREED.value]


def mended(visit: Visit) -> Plain:
    """How it was mended: the way, the connectors, the wire."""
    how = [
        _("spliced"),
        _("a piece of new wire, two splices"),
        _("the old splice remade"),
        _("tightened at the terminals"),
    ]
    ways, undug = options(zip(how, how, strict=True)), {"undug": [True, ground_was_opened()]}
    fields = [
        *asked(MendForm.base_fields, "how", how={"type": "choice", "options": ways}),
        field("connectors", "text", _("Connectors: which, how many"), most=60),
        field("wire", "text", _("Wire: size, colour, length"), most=60),
        *asked(MendForm.base_fields, "nothing_was_dug", nothing_was_dug=undug),
    ]
    none = _("Record first what was found: the step before this one.")
    made = form("mended", _("Mended"), _("It is mended"), fields, starts=BEFORE_MENDED, none=none)
    return step(
        "mended",
        _("Mended"),
        cautions=[_("Only connectors that are made for wet ground. “Mended” is not “proven”.")],
        forms=[made, photo_form(body={"shows": "after"}, of_break=True)],
    )


def proven(visit: Visit) -> Plain:
    """What the wiring is proven by, the run, the valve seen to move."""
    symptom = visit.job.fault.symptom if visit.job.fault else ""
    several = len(visit.rows) > 1
    fields = [
        number(
            f"{one.name}_{row.pk}",
            f"{row.station}: {one.label}" if several else one.label,
            required=True,
            row=[row.pk],
            instead=f"{one.instead}_{row.pk}" if one.instead else "",
        )
        for row in visit.rows
        for one in wanted_of(row, symptom)
    ]
    fields += [
        number(name, label, required=True, row=[row.pk for row in rows])
        for name, (label, rows) in minutes_wanted(visit.rows).items()
    ]
    seen = {"required": True}
    fields += asked(ProveForm.base_fields, "valve_opened_and_shut", valve_opened_and_shut=seen)
    fields += [field("why", "text", _("Why, if a reading is unusual"), most=200)]
    none = _("Nothing is mended yet that could be proven.")
    back = field("why", "text", _("What happens now?"), most=200, required=True)
    return step(
        "proven",
        _("Proven"),
        cautions=notes_on(visit.rows),
        forms=[
            form("proven", _("Proven"), _("It is proven"), fields, starts=["mended"], none=none),
            form("still dead", _("Still dead after the mend"), _("Back to found"), [back],
                 starts=["mended", "proven"], folded=True),
        ],
    )  # fmt: skip


def returned(visit: Visit) -> Plain:
    """The list that everybody goes through: then the station's time off central ends."""
    ways = [each for each in HOW_RETURNED_CHOICES if each[0] != HowReturned.LINKED.value]
    stays = [HowReturned.DOUBLED.value, HowReturned.SURFACE.value]
    fields = [tick(name, RETURN_WORDS[name], required=True) for name in RETURN_LIST]
    fields += asked(
        ReturnForm.base_fields,
        "how",
        "accepted_by_client_on",
        how={"options": options(ways), "value": HowReturned.MENDED.value},
        accepted_by_client_on={"only": {"how": stays}},
    )
    title, none = _("Returned to central"), _("Nothing is proven yet that could be returned.")
    made = form("returned", title, _("It is returned"), fields, starts=["proven"], none=none)
    return step("returned", title, forms=[made])


ENDING = (mended, proven, returned)

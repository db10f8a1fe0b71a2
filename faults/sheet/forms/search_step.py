"""The step "search": the line, its numbers and its tests, for the engine on the phone."""

from collections.abc import Sequence
from datetime import date, datetime

from django.utils.translation import gettext as _

from faults.locating.queries import last_search_of
from faults.locating.services.around import about
from faults.locating.services.beliefs import SYMPTOMS
from faults.locating.services.finding_words import GRAVE, finding_templates, quoted
from faults.locating.services.first_words import first_words
from faults.locating.services.lead_words import neighbours_words
from faults.locating.services.line import NoLine
from faults.locating.services.ohms_words import choices_of
from faults.locating.services.payload import search_payload
from faults.locating.services.said import said_words
from faults.locating.services.standing import last_stand, stand_plain
from faults.locating.services.states import readings_of, state_of
from faults.locating.services.words import effect_templates, places_of
from faults.models import Fault, FaultStation, SearchTool, Symptom
from faults.sheet.forms.fields import Plain, field, form, options, step
from faults.sheet.forms.search_words import (
    actions_by_master,
    actions_plain,
    outside_plain,
    read_ohms,
    search_words,
)

# A fault of a whole bundle is searched on few of its wires.
MOST_SEARCHED = 8


def search_step(fault: Fault, rows: Sequence[FaultStation], today: date, *, at: datetime) -> Plain:
    """Return the step with a search for each station, begun or not."""
    give_up = form(
        "search end",
        _("Give this search up"),
        _("Give it up"),
        [field("why", "text", _("Why?"), most=200, required=True)],
        folded=True,
    )
    first = first_words(SYMPTOMS[Symptom(fault.symptom)])
    usual = _(
        "Switch the station off before you cut or clamp. A tone misses, and a lead can be bad: "
        "nothing is ruled out for good."
    )
    return step(
        "search",
        _("Search"),
        cautions=[first, usual] if first else [usual],
        searches=[_search(fault, row, today, at) for row in rows[:MOST_SEARCHED]],
        actions=actions_plain(),
        outside=outside_plain(),
        tools=options(SearchTool.choices),
        end=give_up,
        words=search_words(),
        telling=_telling(),
    )


def _telling() -> Plain:
    """Return the words of what there is to say and of what each test did: those of the page."""
    return {
        "templates": finding_templates(),
        "grave": sorted(GRAVE),
        "quoted": quoted(),
        "effects": effect_templates(),
    }


def _search(fault: Fault, row: FaultStation, today: date, at: datetime) -> Plain:
    known = {"row": row.pk, "station": row.station_id, "name": str(row.station)}
    search = last_search_of(fault, row.station)
    if search is not None and search.ended_at is not None:
        search = None
    tests = readings_of(search)
    try:
        state = state_of(fault, row.station, search, today=today, rows=tests)
    except NoLine as problem:
        return {**known, "none": str(problem)}
    names = {str(key): name for key, name in state.ground.names.items()}
    said = {str(one.key): said_words(one.said, state.ground) for one in tests}
    plain = search_payload(fault, row.station, search, state, tests)
    # What else the likelihood rests on: other stations, readings, mends, earlier searches.
    counted = [neighbours_words(state), *(one.words for one in state.known if one.row is None)]
    for reading, one in zip(plain["readings"], state.known, strict=False):
        if one.row is None:
            reading["words"] = one.words
    here = last_stand(state)
    told = {
        "plain": plain,
        "names": names,
        "said": said,
        "counted": counted,
        "places": places_of(state.ground),
        "lost": [str(one.key) for one in state.lost],
        "started_at": search and search.started_at.isoformat(),
        # Of one that is begun on the phone the sheet's own count of the limit says it.
        "budget_min": search and about(fault, search, at=at, stand=here).budget_min,
    }
    return {
        **known,
        **told,
        "actions": {
            **actions_by_master(state.ground.others.master),
            "read ohms": read_ohms(choices_of(row.station)),
        },
        "stand": stand_plain(here, state),
    }

"""Things about the fault: found, who digs, mended, proven, returned."""

from collections.abc import Sequence
from datetime import timedelta

from django.utils.translation import gettext as _

from faults.access import roles_on
from faults.cases.engines.stages import ADVANCE, CLOSED, HowReturned, Stage, find_move
from faults.cases.services.break_back import take_back_break
from faults.cases.services.break_rules import BreakFacts
from faults.cases.services.breaks import record_break
from faults.cases.services.moves import move_stations
from faults.cases.services.opened import refuse_nothing_was_dug
from faults.cases.services.told import (
    RETURN_LIST,
    Finding,
    Measured,
    Mending,
    Proving,
    Returning,
    StageFacts,
)
from faults.due.services.by_hand import raise_by_hand
from faults.models import (
    STAGE_CHOICES,
    Break,
    Cause,
    CauseSide,
    Damage,
    Fault,
    FaultStation,
    Job,
    SheetItem,
)
from faults.sheet.services.job_items import the_break
from faults.sheet.services.told import Item, UnableToTakeIn, WroteSomethingElse, kind
from sites.kernel.engines.roles import Action
from sites.models import Leg, User, Wire

STAGE_WORDS = dict(STAGE_CHOICES)
# Two finds nearer to each other than this, on one leg, are looked at as the same place.
SAME_PLACE_FT = 3.0


def the_fault(item: Item) -> Fault:
    """Return the fault that the job is for."""
    if item.job.fault is None:
        raise UnableToTakeIn(_("This job is for no fault."))
    return item.job.fault


def the_rows(item: Item) -> list[FaultStation]:
    """Return the stations of the fault that were named, or all open ones of the job."""
    fault, named = the_fault(item), item.said.keys("stations")
    rows = fault.stations.select_related("station").order_by("pk")
    if named:
        return list(rows.filter(pk__in=named))
    rows = rows.exclude(stage__in=[stage.value for stage in CLOSED])
    of_job = list(item.job.stations.values_list("pk", flat=True))
    return list(rows.filter(station__in=of_job) if of_job else rows)


@kind("found", Action.RECORD_BREAK)
def found(item: Item) -> str:
    """A break, with its place, depth and cause; its stations are found by it."""
    fault, facts = the_fault(item), _facts(item)
    _refuse_beside_anothers(item, fault, facts)
    waiting = [row for row in the_rows(item) if ADVANCE[Stage(row.stage)] < ADVANCE[Stage.FOUND]]
    one = record_break(
        fault=fault, facts=facts, by=item.by, at=item.at, today=item.today, found=waiting
    )
    return f"break:{one.pk}"


@kind("found back", Action.RECORD_BREAK)
def found_back(item: Item) -> str:
    """A break was recorded by mistake: it goes, as on the page of its fault."""
    of = item.said.uuid("of")
    made = SheetItem.objects.filter(pk=of, job=item.job).first() if of else None
    what, _colon, key = (made.made if made else "").partition(":")
    if what != "break":
        raise UnableToTakeIn(_("What this takes back was not kept: nothing to do."))
    one = Break.objects.filter(pk=int(key)).first()
    if one is not None:
        why = item.said.words("why", 200) or _("tapped by mistake")
        take_back_break(one=one, why=why, by=item.by, at=item.at, today=item.today)
    return ""


def undone_by(job: Job, user: User) -> dict[str, str]:
    """Return by what kind of thing another is taken back on this user's phone.

    A break mostly lets its stations be found: who may not move them back asks the office.
    """
    always = {"reading": "void", "search test": "search void", "left": "left back"}
    back = find_move(Stage.FOUND, Stage.SCHEDULED)
    may_send_back = back is not None and not back.roles.isdisjoint(roles_on(user, job.property))
    return always | ({"found": "found back"} if may_send_back else {})


def _facts(item: Item) -> BreakFacts:
    said, place = item.said, item.job.property
    leg = Leg.objects.filter(property=place, pk=said.key("leg") or 0).first()
    if leg is None and said.key("leg") is not None:
        raise UnableToTakeIn(_("This leg is not known here any more."), field="leg")
    cause, damage = said.words("cause"), said.words("damage")
    ends = {leg.from_point_id: leg.from_point, leg.to_point_id: leg.to_point} if leg else {}
    return BreakFacts(
        leg=leg,
        feet_along=said.number("feet_along"),
        from_point=ends.get(said.key("from_point") or 0),
        found_on=item.on,
        depth_in=said.number("depth_in"),
        cause=cause if cause in Cause.values else Cause.NOT_KNOWN.value,
        damage=damage if damage in Damage.values else "",
        wires=list(Wire.objects.filter(property=place, pk__in=said.keys("wires"))),
        latitude=said.number("latitude"),
        longitude=said.number("longitude"),
        who_was_on_site=said.words("who_was_on_site", 200),
        notes=_with_accuracy(item),
    )


def _with_accuracy(item: Item) -> str:
    """A phone's position is worth as much as its accuracy: it stands beside it in words."""
    notes, accuracy = item.said.words("notes"), item.said.number("accuracy_ft")
    if accuracy is None or item.said.number("latitude") is None:
        return notes
    words = _("Position by phone, good to %s ft.") % f"{accuracy:.0f}"
    return f"{notes}\n{words}".strip()


def _refuse_beside_anothers(item: Item, fault: Fault, facts: BreakFacts) -> None:
    """Two people who dug at one place have found one break; who sends later decides."""
    if item.is_over or facts.leg is None:
        return
    standing = Break.objects.filter(fault=fault, leg=facts.leg, mended_on=None)
    for one in standing.select_related("leg").order_by("pk"):
        apart = abs((one.feet_along or 0.0) - (facts.feet_along or 0.0))
        if one.from_point_id == (facts.from_point.pk if facts.from_point else None) and (
            apart <= SAME_PLACE_FT
        ):
            raise WroteSomethingElse(
                mine=_place_in_words(facts.leg, facts.feet_along, facts.cause),
                theirs=_place_in_words(facts.leg, one.feet_along, one.cause),
            )


def _place_in_words(leg: Leg, feet: float | None, cause: str) -> str:
    words = dict(Cause.choices)
    along = f"{feet:.0f} ft" if feet is not None else "?"
    return f"{leg}, {along}, {words[Cause(cause)]}"


@kind("outside", Action.MOVE_FAULT)
def outside(item: Item) -> str:
    """It was not the wire: what it was, and on which side it lies."""
    words, side = item.said.words("cause_outside", 150), item.said.words("side")
    if not words:
        raise UnableToTakeIn(_("What was it, if not the wire?"), field="cause_outside")
    sides = {CauseSide.VALVE.value, CauseSide.ELSEWHERE.value}
    finding = Finding(words, side if side in sides else CauseSide.ELSEWHERE.value)
    _move(item, Stage.FOUND, finding, mine=words)
    return ""


@kind("digs", Action.WORK_JOBS)
def digs(item: Item) -> str:
    """Who is to dig: what the office must see to is due the next day."""
    fault, who = the_fault(item), item.said.words("who", 40)
    what = {
        "us": _("Fault %s is found: ask the client for the yes, and plan our dig."),
        "client": _("Fault %s is found: the client's own people dig. Send them the place."),
        "others": _("Fault %s is found: others dig and we stand by. Agree on a day."),
    }.get(who)
    if who == "nobody":
        refuse_nothing_was_dug(fault, field="who")
        return ""
    if what is None:
        raise UnableToTakeIn(_("Who digs?"), field="who")
    row = raise_by_hand(
        place=item.job.property,
        what=f"{what % fault} {item.said.words('notes', 120)}".strip(),
        due_on=item.today + timedelta(days=1),
        by=item.by,
        today=item.today,
        fault=fault,
        job=item.job,
    )
    return f"followup:{row.pk}"


@kind("mended", Action.MOVE_FAULT)
def mended(item: Item) -> str:
    """How it was mended: the way, the connectors, the wire."""
    said, fault = item.said, the_fault(item)
    parts = [said.words(name, 60) for name in ("how", "connectors", "wire")]
    how = ", ".join(part for part in parts if part)[:150]
    standing = list(fault.breaks.filter(mended_on__isnull=True).order_by("pk"))
    only = the_break(item, "break")
    breaks: Sequence[Break] = [one for one in standing if only is None or one.pk == only.pk]
    facts = Mending(how, breaks, said.ticked("nothing_was_dug"))
    _move(item, Stage.MENDED, facts, mine=how)
    return ""


@kind("proven", Action.MOVE_FAULT)
def proven(item: Item) -> str:
    """What the wiring is proven by, the run, the valve seen to move."""
    said = item.said
    readings = {
        row.pk: Measured(
            volts=said.number(f"volts_{row.pk}"),
            ohms=said.number(f"ohms_{row.pk}"),
            megohms=said.number(f"megohms_{row.pk}"),
            current_ma=said.number(f"current_ma_{row.pk}"),
        )
        for row in the_rows(item)
    }
    central, clock = said.whole("minutes_from_central"), said.whole("minutes_at_clock")
    facts = Proving(readings, central, said.ticked("valve_opened_and_shut"), clock)
    mine = _("%s minutes from central") % central if central else ""
    _move(item, Stage.PROVEN, facts, mine=mine or _("%s minutes at the clock") % (clock or 0))
    return ""


@kind("returned", Action.MOVE_FAULT)
def returned(item: Item) -> str:
    """The list that everybody goes through, and how the station came back: the spell ends."""
    said, how = item.said, item.said.words("how")
    if how not in list(HowReturned):
        raise UnableToTakeIn(_("How did it come back?"), field="how")
    done = frozenset(name for name in RETURN_LIST if said.ticked(name))
    facts = Returning(HowReturned(how), said.day("accepted_by_client_on"), done)
    _move(item, Stage.RETURNED, facts, mine=how)
    return ""


@kind("still dead", Action.MOVE_FAULT)
def still_dead(item: Item) -> str:
    """Mended or proven, and dead again: back to found, with the reason."""
    _move(item, Stage.FOUND, None, mine=item.said.words("why", 200), is_back=True)
    return ""


def _move(
    item: Item, to: Stage, facts: StageFacts | None, *, mine: str, is_back: bool = False
) -> None:
    """Move the stations that are not there yet; report a conflict where another user went on."""
    rows = the_rows(item)
    if not rows:
        raise UnableToTakeIn(_("No station of this fault is open any more."))
    if not is_back:
        _refuse_where_others_went(rows, to, mine)
    move_stations(
        fault=the_fault(item),
        stations=rows,
        to=to,
        on=item.on,
        by=item.by,
        at=item.at,
        today=item.today,
        why=item.said.words("why", 200),
        facts=facts,
    )


def _refuse_where_others_went(rows: Sequence[FaultStation], to: Stage, mine: str) -> None:
    there = [row for row in rows if ADVANCE[Stage(row.stage)] >= ADVANCE[to]]
    if not there:
        return
    last = there[0].moves.order_by("-moved_at", "-pk").select_related("by").first()
    theirs = f"{there[0].station}: {STAGE_WORDS[there[0].stage]}"
    if last is not None:
        theirs += f", {last.by}, {last.why}" if last.why else f", {last.by}"
    raise WroteSomethingElse(mine=f"{STAGE_WORDS[to.value]}: {mine}", theirs=theirs)

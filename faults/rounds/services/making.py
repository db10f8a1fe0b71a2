"""Make a round, change it, end it and take the end back."""

from collections.abc import Collection, Sequence
from datetime import date

from django.db.models import Count
from django.utils.translation import gettext as _

from faults.models import PURPOSES, JobKind, Round, RoundStation, RoundStop
from faults.models.rounds import MOST_DAYS
from faults.rounds.engines.turns import Repeats, UnreadableRule, every_of, turns_of
from faults.rounds.services.targets import MOST_STATIONS
from faults.rounds.services.told import (
    RoundFacts,
    StopFacts,
    UnableToMakeRound,
    rhythm_of,
)
from sites.kernel.engines.roles import Action
from sites.kernel.services.verb_days import save_because
from sites.kernel.services.verbs import verb
from sites.models import Station, User

MOST_STOPS = 400
GUARD = (
    "a name and a purpose; at least one property, each in care and named once; its stations lie "
    "there, at most 400; an interval that can be read; no other round that comes back for the "
    "same purpose goes to these stations"
)


@verb(
    name="make a round",
    action=Action.PLAN_JOBS,
    guard=GUARD,
    undo="end a round",
)
def make_round(*, facts: RoundFacts, stops: Sequence[StopFacts], by: User, today: date) -> Round:
    """Make a round over these properties, in the order in which they are given."""
    _refuse(facts, stops, None, today)
    the_round = Round(made_by=by)
    _keep(the_round, facts)
    _keep_stops(the_round, stops, today)
    return the_round


@verb(
    name="change a round",
    action=Action.PLAN_JOBS,
    guard="it has not ended; " + GUARD,
    undo="change it back, with the values that its history shows",
)
def change_round(
    *, the_round: Round, facts: RoundFacts, stops: Sequence[StopFacts], today: date
) -> None:
    """Change it from the next visit on: visits that are planned stay as they are."""
    if the_round.ended_on is not None:
        raise UnableToMakeRound(_("This round has ended. Let it go on first."))
    _refuse(facts, stops, the_round, today)
    _keep(the_round, facts)
    _keep_stops(the_round, stops, today)


@verb(
    name="end a round",
    action=Action.PLAN_JOBS,
    guard="it has not ended; a reason in words",
    undo="let an ended round go on",
)
def end_round(*, the_round: Round, why: str, today: date) -> None:
    """Plan no more visits of it. Those that are planned stay, to be made or withdrawn."""
    if the_round.ended_on is not None:
        raise UnableToMakeRound(_("This round has ended already."))
    if not why.strip():
        raise UnableToMakeRound(_("Say in a few words why it ends."), field="why")
    the_round.ended_on, the_round.why_ended = today, why.strip()[:200]
    save_because(the_round, why.strip())


@verb(
    name="let an ended round go on",
    action=Action.PLAN_JOBS,
    guard="it has ended; nothing is due twice by it",
    undo="end a round",
)
def go_on_with_round(*, the_round: Round) -> None:
    """Plan visits again, from the turn on that comes next."""
    if the_round.ended_on is None:
        raise UnableToMakeRound(_("This round has not ended."))
    stops = [
        (stop.property_id, {each.station_id for each in stop.chosen.all()})
        for stop in the_round.stops.filter(taken_out_on=None).prefetch_related("chosen")
    ]
    _refuse_twice(the_round.purpose, the_round.repeats, stops, the_round)
    the_round.ended_on, the_round.why_ended = None, ""
    the_round.save()


def _refuse(
    facts: RoundFacts, stops: Sequence[StopFacts], the_round: Round | None, today: date
) -> None:
    if not facts.name.strip():
        raise UnableToMakeRound(_("Give it a name, such as Spring start-up."), field="name")
    if facts.purpose not in {kind.value for kind in PURPOSES}:
        raise UnableToMakeRound(_("What is the round for?"), field="purpose")
    _refuse_rhythm(facts)
    if not stops:
        raise UnableToMakeRound(_("Name at least one property."), field="places")
    if len(stops) > MOST_STOPS:
        raise UnableToMakeRound(
            _("At most %s properties in one round. Make two of it.") % MOST_STOPS, field="places"
        )
    _refuse_stops(stops, today)
    _refuse_too_many(facts.purpose, stops)
    keys = [(stop.place.pk, {each.pk for each in stop.stations}) for stop in stops]
    _refuse_twice(facts.purpose, facts.repeats, keys, the_round)


def _refuse_rhythm(facts: RoundFacts) -> None:
    if facts.repeats not in {each.value for each in Repeats}:
        raise UnableToMakeRound(_("When does it come back?"), field="repeats")
    if not 1 <= facts.within_days <= MOST_DAYS or not 0 <= facts.days_before <= MOST_DAYS:
        raise UnableToMakeRound(
            _("Give it 1 to %s days to be done in.") % MOST_DAYS, field="within_days"
        )
    if facts.repeats != Repeats.INTERVAL:
        return
    try:
        every_of(facts.rule)
        turns_of(rhythm_of(facts), None, since=facts.starts_on, until=facts.starts_on)
    except UnreadableRule:
        raise UnableToMakeRound(
            _("This interval cannot be read. Choose a number and days, weeks, months or years."),
            field="every",
        ) from None


def _refuse_stops(stops: Sequence[StopFacts], today: date) -> None:
    seen: set[int] = set()
    for stop in stops:
        place = stop.place
        if place.pk in seen:
            raise UnableToMakeRound(
                _("%s is named twice. Put all its stations on one line.") % place, field="places"
            )
        seen.add(place.pk)
        if place.retired_on is not None and place.retired_on <= today:
            raise UnableToMakeRound(
                _("%s is retired. Bring it back first, or leave it out.") % place, field="places"
            )
        for station in stop.stations:
            if station.controller.property_id != place.pk:
                raise UnableToMakeRound(_("%s is on another property.") % station, field="places")


def _refuse_too_many(purpose: str, stops: Sequence[StopFacts]) -> None:
    """Refuse more stations at one property than the sheet of a visit shows."""
    named = {stop.place.pk: len(stop.stations) for stop in stops if stop.stations}
    whole = [stop.place.pk for stop in stops if not stop.stations]
    if purpose not in (JobKind.BATTERIES, JobKind.BRING_HOME):
        rows = Station.objects.in_care().filter(controller__property__in=whole)
        counted = rows.order_by().values_list("controller__property").annotate(n=Count("pk"))
        named |= dict(counted)
    for stop in stops:
        if named.get(stop.place.pk, 0) > MOST_STATIONS:
            raise UnableToMakeRound(
                _(
                    "%(place)s: at most %(most)s stations in one round. Name some of them after a "
                    "colon, and make another round of the rest."
                )
                % {"place": stop.place, "most": MOST_STATIONS},
                field="places",
            )


def _refuse_twice(
    purpose: str,
    repeats: str,
    stops: Sequence[tuple[int, Collection[int]]],
    the_round: Round | None,
) -> None:
    """Refuse what another round that comes back for the same purpose goes to already."""
    if repeats == Repeats.ONCE:
        return
    others = RoundStop.objects.filter(
        round__purpose=purpose, round__ended_on=None, taken_out_on=None
    ).exclude(round__repeats=Repeats.ONCE.value)
    if the_round is not None:
        others = others.exclude(round=the_round)
    others = others.filter(property__in=[key for key, _stations in stops])
    chosen = dict(stops)
    for other in (
        others.select_related("round", "property").prefetch_related("chosen").order_by("pk")
    ):
        mine, theirs = set(chosen[other.property_id]), {x.station_id for x in other.chosen.all()}
        if not mine or not theirs or mine & theirs:
            raise UnableToMakeRound(
                _(
                    "%(place)s is in the round “%(round)s” already, for the same purpose: it "
                    "would be due twice. Leave it out here, or take it out there."
                )
                % {"place": other.property, "round": other.round},
                field="places",
            )


def _keep(the_round: Round, facts: RoundFacts) -> None:
    for name in RoundFacts.names():
        setattr(the_round, name, getattr(facts, name))
    the_round.name, the_round.notes = facts.name.strip(), facts.notes.strip()
    if the_round.repeats != Repeats.INTERVAL:
        the_round.rule = ""
    the_round.save()


def _keep_stops(the_round: Round, stops: Sequence[StopFacts], today: date) -> None:
    known = {stop.property_id: stop for stop in the_round.stops.all()}
    for number, facts in enumerate(stops, 1):
        stop = known.pop(facts.place.pk, None) or RoundStop(round=the_round, property=facts.place)
        if (stop.pk, stop.number, stop.taken_out_on) != (stop.pk or 0, number, None):
            stop.number, stop.taken_out_on = number, None
            stop.save()
        wanted = {station.pk for station in facts.stations}
        had = set(stop.chosen.values_list("station", flat=True))
        stop.chosen.exclude(station__in=wanted).delete()
        for key in sorted(wanted - had):
            RoundStation.objects.create(stop=stop, station_id=key)
    for stop in known.values():
        if stop.taken_out_on is None:
            stop.taken_out_on = today
            stop.save()

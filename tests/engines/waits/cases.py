"""Named cases of what a station waits on. `faults/waits/engines/waits.md` prints them."""

from dataclasses import replace
from datetime import date, timedelta

from faults.cases.engines.stages import Stage
from faults.waits.engines.waits import Consent, Facts, Mover, Ticket, WaitsOn
from faults.work.engines.visits import Held, Purpose, Visit, VisitState
from sites.stopgaps.engines.spells import Reason

TODAY = date(2025, 6, 15)
OFF = date(2025, 5, 1)
MOVED = date(2025, 5, 20)


def day(n: int) -> date:
    """Return a day of May 2025, or later."""
    return date(2025, 5, 1) + timedelta(days=n - 1)


def facts(stage: Stage | None = None, **given: object) -> Facts:
    """Return facts of a station off since 1 May because of its wire, moved on 20 May."""
    base = Facts(TODAY, OFF, Reason.WIRE, stage=stage, moved_on=MOVED if stage else None)
    return replace(base, **given)  # type: ignore[arg-type]


def look(**given: object) -> tuple[Visit, ...]:
    """Return a visit to search."""
    return (Visit(Purpose.LOOK, **given),)  # type: ignore[arg-type]


def dig(**given: object) -> tuple[Visit, ...]:
    """Return a visit to dig."""
    return (Visit(Purpose.DIG, **given),)  # type: ignore[arg-type]


def back(**given: object) -> tuple[Visit, ...]:
    """Return a visit to bring a station back."""
    return (Visit(Purpose.BRING_BACK, **given),)  # type: ignore[arg-type]


DONE = {"state": VisitState.DONE, "day": day(22), "ended_on": day(22)}
CLEAR = {"ticket": Ticket.CLEAR, "ticket_on": day(21)}

# What holds, what it waits on, whose move, since when, until when.
CASES: dict[str, tuple[Facts, WaitsOn, Mover, date, date | None]] = {
    "nobody reported it": (facts(), WaitsOn.REPORT, Mover.OURS, OFF, None),
    "its link is lost, after other reasons": (
        facts(reason=Reason.LINK_LOST, reason_since=day(9)),
        WaitsOn.LINK, Mover.CENTRAL, day(9), None,
    ),
    "the client wants it so": (
        facts(reason=Reason.CLIENT), WaitsOn.CLIENTS_CHOICE, Mover.CLIENT, OFF, None,
    ),
    "the client wants it so until a day": (
        facts(reason=Reason.CLIENT, chosen_until=date(2025, 9, 1)),
        WaitsOn.CLIENTS_CHOICE, Mover.CLIENT, OFF, date(2025, 9, 1),
    ),
    "the client's day is over": (
        facts(reason=Reason.CLIENT, chosen_until=day(30)), WaitsOn.ASK, Mover.OURS, day(30), None,
    ),
    "its fault was returned and the stopgap forgotten": (
        facts(closed_as=Stage.RETURNED, closed_on=day(9)),
        WaitsOn.AFTER_RETURN, Mover.OURS, day(9), None,
    ),
    "it was returned before this spell": (
        facts(closed_as=Stage.RETURNED, closed_on=date(2024, 5, 1)),
        WaitsOn.REPORT, Mover.OURS, OFF, None,
    ),
    "it was given up": (
        facts(closed_as=Stage.GIVEN_UP, closed_on=day(9)),
        WaitsOn.GIVEN_UP, Mover.OURS, day(9), None,
    ),
    "it was given up, as the client wants it so": (
        facts(reason=Reason.CLIENT, closed_as=Stage.GIVEN_UP, closed_on=day(9)),
        WaitsOn.CLIENTS_CHOICE, Mover.CLIENT, OFF, None,
    ),
    "its fault was withdrawn and it is still off": (
        facts(closed_as=Stage.WITHDRAWN, closed_on=day(9)),
        WaitsOn.REPORT, Mover.OURS, day(9), None,
    ),
    "reported, no visit": (facts(Stage.REPORTED), WaitsOn.VISIT, Mover.OURS, MOVED, None),
    "reported although the link is lost too": (
        facts(Stage.REPORTED, reason=Reason.LINK_LOST), WaitsOn.VISIT, Mover.OURS, MOVED, None,
    ),
    "reported, a visit without a day": (
        facts(Stage.REPORTED, visits=look()), WaitsOn.VISIT, Mover.OURS, MOVED, None,
    ),
    "a dig is no visit to search": (
        facts(Stage.REPORTED, visits=dig(day=day(60))), WaitsOn.VISIT, Mover.OURS, MOVED, None,
    ),
    "scheduled, the day ahead": (
        facts(Stage.SCHEDULED, visits=look(day=date(2025, 6, 18))),
        WaitsOn.VISIT_DAY, Mover.OURS, MOVED, date(2025, 6, 18),
    ),
    "scheduled, today": (
        facts(Stage.SCHEDULED, visits=look(day=TODAY)), WaitsOn.VISIT_DAY, Mover.OURS, MOVED, TODAY,
    ),
    "scheduled, the day went by": (
        facts(Stage.SCHEDULED, visits=look(day=day(25))),
        WaitsOn.VISIT_RESULT, Mover.OURS, day(25), None,
    ),
    "scheduled, the crew is there": (
        facts(Stage.SCHEDULED, visits=look(day=TODAY, state=VisitState.STARTED)),
        WaitsOn.VISIT_RESULT, Mover.OURS, TODAY, None,
    ),
    "scheduled, the crew was there": (
        facts(Stage.SCHEDULED, visits=look(**DONE)),
        WaitsOn.VISIT_RESULT, Mover.OURS, day(22), None,
    ),
    "scheduled again after a search without a result": (
        facts(Stage.SCHEDULED, moved_on=day(30), visits=look(**DONE)),
        WaitsOn.VISIT_RESULT, Mover.OURS, day(30), None,
    ),
    "scheduled, its job was withdrawn": (
        facts(Stage.SCHEDULED, visits=look(state=VisitState.WITHDRAWN)),
        WaitsOn.VISIT, Mover.OURS, MOVED, None,
    ),
    "scheduled by word of mouth": (
        facts(Stage.SCHEDULED), WaitsOn.VISIT_RESULT, Mover.OURS, MOVED, None,
    ),
    "held for the weather": (
        facts(
            Stage.SCHEDULED,
            visits=look(day=date(2025, 6, 18), held=Held.WEATHER, held_since=day(28)),
        ),
        WaitsOn.WEATHER, Mover.WEATHER, day(28), date(2025, 6, 18),
    ),
    "held for access": (
        facts(Stage.SCHEDULED, visits=look(held=Held.ACCESS, held_since=day(28))),
        WaitsOn.ACCESS, Mover.CLIENT, day(28), None,
    ),
    "found, not asked": (facts(Stage.FOUND), WaitsOn.ASK, Mover.OURS, MOVED, None),
    "found, asked": (
        facts(Stage.FOUND, consent=Consent.ASKED, consent_on=day(23)),
        WaitsOn.ANSWER, Mover.CLIENT, day(23), None,
    ),
    "found, the client said no": (
        facts(Stage.FOUND, consent=Consent.REFUSED, consent_on=day(24)),
        WaitsOn.REFUSED, Mover.OURS, day(24), None,
    ),
    "found, the client said yes": (
        facts(Stage.FOUND, consent=Consent.AGREED, consent_on=day(24)),
        WaitsOn.AGREE, Mover.OURS, day(24), None,
    ),
    "found again after an older answer": (
        facts(Stage.FOUND, consent=Consent.REFUSED, consent_on=day(4)),
        WaitsOn.ASK, Mover.OURS, MOVED, None,
    ),
    "agreed, no notice": (facts(Stage.AGREED), WaitsOn.NOTICE, Mover.OURS, MOVED, None),
    "agreed, no notice, although the dig is held": (
        facts(Stage.AGREED, visits=dig(held=Held.ACCESS, held_since=day(21))),
        WaitsOn.NOTICE, Mover.OURS, MOVED, None,
    ),
    "agreed, the notice waits": (
        facts(
            Stage.AGREED,
            ticket=Ticket.WAITING,
            ticket_on=day(21),
            ticket_clear_on=date(2025, 6, 17),
        ),
        WaitsOn.NOTICE_CLEAR, Mover.UTILITIES, day(21), date(2025, 6, 17),
    ),
    "agreed, the notice waits although its day is past": (
        facts(Stage.AGREED, ticket=Ticket.WAITING, ticket_on=day(21), ticket_clear_on=day(24)),
        WaitsOn.NOTICE_CLEAR, Mover.UTILITIES, day(21), None,
    ),
    "agreed, the notice ran out": (
        facts(Stage.AGREED, ticket=Ticket.RAN_OUT, ticket_on=day(40)),
        WaitsOn.NOTICE, Mover.OURS, day(40), None,
    ),
    "agreed and clear, no dig planned": (
        facts(Stage.AGREED, **CLEAR), WaitsOn.DIG, Mover.OURS, MOVED, None,
    ),
    "agreed, nothing to dig, no visit": (
        facts(Stage.AGREED, ticket=Ticket.NOT_NEEDED), WaitsOn.DIG, Mover.OURS, MOVED, None,
    ),
    "agreed and clear, the dig ahead": (
        facts(Stage.AGREED, **CLEAR, visits=dig(day=date(2025, 6, 16))),
        WaitsOn.DIG_DAY, Mover.OURS, MOVED, date(2025, 6, 16),
    ),
    "agreed and clear, the dig went by": (
        facts(Stage.AGREED, **CLEAR, visits=dig(day=day(26))),
        WaitsOn.MEND_RESULT, Mover.OURS, day(26), None,
    ),
    "dug, and the notice ran out since": (
        facts(Stage.AGREED, ticket=Ticket.RAN_OUT, ticket_on=day(40), visits=dig(**DONE)),
        WaitsOn.MEND_RESULT, Mover.OURS, day(22), None,
    ),
    "the dig is held for parts": (
        facts(Stage.AGREED, **CLEAR, visits=dig(held=Held.PARTS, held_since=day(27))),
        WaitsOn.PARTS, Mover.OURS, day(27), None,
    ),
    "mended": (facts(Stage.MENDED), WaitsOn.PROOF, Mover.OURS, MOVED, None),
    "mended, a visit planned": (
        facts(Stage.MENDED, visits=back(day=date(2025, 6, 20))),
        WaitsOn.PROOF, Mover.OURS, MOVED, date(2025, 6, 20),
    ),
    "mended, the solenoid is ordered": (
        facts(Stage.MENDED, visits=back(held=Held.PARTS, held_since=day(29))),
        WaitsOn.PARTS, Mover.OURS, day(29), None,
    ),
    "proven": (facts(Stage.PROVEN), WaitsOn.RETURN, Mover.OURS, MOVED, None),
    "proven, central asked to enable it": (
        facts(Stage.PROVEN, enable_asked_on=day(28)), WaitsOn.ENABLE, Mover.CENTRAL, day(28), None,
    ),
    "the last move is said to be tomorrow": (
        facts(Stage.MENDED, moved_on=date(2025, 6, 16)), WaitsOn.PROOF, Mover.OURS, TODAY, None,
    ),
    "nobody reported it, and its wire read sound": (
        facts(sound_on=day(12)), WaitsOn.BRING_HOME, Mover.OURS, day(12), None,
    ),
    "reported, and its wire read sound on that day": (
        facts(Stage.REPORTED, sound_on=MOVED), WaitsOn.BRING_HOME, Mover.OURS, MOVED, None,
    ),
    "its wire read sound the day before it was reported": (
        facts(Stage.REPORTED, sound_on=day(19)), WaitsOn.VISIT, Mover.OURS, MOVED, None,
    ),
    "found, and its wire read sound later": (
        facts(Stage.FOUND, sound_on=day(21)), WaitsOn.BRING_HOME, Mover.OURS, day(21), None,
    ),
    "agreed, no notice, and its wire read sound later": (
        facts(Stage.AGREED, sound_on=day(21)), WaitsOn.BRING_HOME, Mover.OURS, day(21), None,
    ),
    "mended, and its wire read sound later": (
        facts(Stage.MENDED, sound_on=day(21)), WaitsOn.PROOF, Mover.OURS, MOVED, None,
    ),
    "given up, and its wire read sound on that day": (
        facts(closed_as=Stage.GIVEN_UP, closed_on=day(20), sound_on=day(20)),
        WaitsOn.BRING_HOME, Mover.OURS, day(20), None,
    ),
    "given up after its wire read sound": (
        facts(closed_as=Stage.GIVEN_UP, closed_on=day(20), sound_on=day(19)),
        WaitsOn.GIVEN_UP, Mover.OURS, day(20), None,
    ),
    "the client wants it so, and its wire read sound": (
        facts(reason=Reason.CLIENT, sound_on=day(12)),
        WaitsOn.CLIENTS_CHOICE, Mover.CLIENT, OFF, None,
    ),
    "its link is lost, and its wire read sound": (
        facts(reason=Reason.LINK_LOST, reason_since=day(9), sound_on=day(12)),
        WaitsOn.LINK, Mover.CENTRAL, day(9), None,
    ),
}  # fmt: skip

"""Make one row each of what falls due, with defaults that hold."""

from datetime import date, time, timedelta
from itertools import count
from typing import Any

from faults.due.services.calendars.links import make_calendar_link
from faults.due.services.unsubscribing import unsubscribe_url
from faults.models import (
    Asked,
    Crew,
    CrewMember,
    Fault,
    FollowUp,
    FollowUpKind,
    Job,
    JobKind,
    Notice,
    OutgoingMail,
    Promise,
)
from sites.models import User
from tests import make
from tests.cast import Corner

_number = count(1)


def follow_up(**given: Any) -> FollowUp:
    """Make something noted by hand that is due on make.TODAY."""
    where = given.pop("property", None) or make.place()
    defaults: dict[str, Any] = {
        "property": where,
        "kind": FollowUpKind.BY_HAND,
        "due_on": make.TODAY,
    }
    if given.get("kind", FollowUpKind.BY_HAND) == FollowUpKind.BY_HAND:
        defaults["what"] = f"Look again {next(_number)}"
    return FollowUp.objects.create(**{**defaults, **given})


def crew(*members: User, **given: Any) -> Crew:
    """Make a crew that works from 7:30 to 15:30, with these people."""
    defaults = {
        "name": f"Crew {next(_number)}",
        "starts_at": time(7, 30),
        "ends_at": time(15, 30),
    }
    made = Crew.objects.create(**{**defaults, **given})
    for user in members:
        CrewMember.objects.create(crew=made, user=user, from_on=date(2025, 1, 1))
    return made


def job(**given: Any) -> Job:
    """Make a locate job of two hours that nobody is assigned to."""
    where = given.pop("property", None) or make.place()
    defaults = {"property": where, "kind": JobKind.LOCATE, "expected_minutes": 120}
    return Job.objects.create(**{**defaults, **given})


def notice(**given: Any) -> Notice:
    """Make a notice that was given two weeks ago."""
    where = given.pop("property", None) or make.place()
    defaults = {
        "property": where,
        "ticket": f"T-{next(_number)}",
        "given_at": make.NOW - timedelta(days=14),
        "proposed_start_on": make.TODAY,
    }
    return Notice.objects.create(**{**defaults, **given})


def asked(**given: Any) -> Asked:
    """Make a question to the client that nobody has answered."""
    case = given.pop("fault", None) or make.fault()
    defaults = {
        "fault": case,
        "asked_on": make.TODAY,
        "asked_of": "the board",
        "what": "May we dig for two hours?",
    }
    return Asked.objects.create(**{**defaults, **given})


def mail(**given: Any) -> OutgoingMail:
    """Make a mail that waits to be sent."""
    number = next(_number)
    defaults = {
        "key": f"digest:{number}:2025-06-15",
        "message_id": f"<{number}@example.org>",
        "to": "somebody@example.org",
        "subject": "1 due today",
        "text": "Something is due.",
        "made_at": make.NOW,
        "next_try_at": make.NOW,
    }
    return OutgoingMail.objects.create(**{**defaults, **given})


def samples(corner: Corner) -> dict[tuple[str, str], str]:
    """Return a value for each variable part of our addresses, all of the corner's client.

    Secret addresses belong to a user who may see nothing: they need no sign-in.
    """
    row = follow_up(property=corner.property, what=f"{corner.property.code} to do")
    nobody = make.user(email="nobody@example.org")
    address = make_calendar_link(user=nobody, at=make.NOW)
    tried = mail(to=f"{corner.property.code}@example.org", given_up_at=make.NOW)
    return {
        ("due", "ref"): row.ref,
        ("promises", "ref"): promise(corner.fault).ref,
        ("mails", "pk"): str(tried.pk),
        ("calendar", "secret"): address.rsplit("/", 1)[1].removesuffix(".ics"),
        ("unsubscribe", "token"): unsubscribe_url(nobody.pk).rstrip("/").rsplit("/", 1)[1],
    }


def promise(fault: Fault, **given: Any) -> Promise:
    """Promise a fault's end in ten days, eight times of ten."""
    usual = {"by_on": make.TODAY + timedelta(days=10), "tenths": 8, "said_to": "Ann"}
    return Promise.objects.create(fault=fault, **{**usual, "said_on": make.TODAY, **given})

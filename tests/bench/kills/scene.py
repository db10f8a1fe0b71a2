"""The register that is written to, who writes, static files: run as a script, prints JSON.

python -m tests.bench.kills.scene STATIONS READERS
"""

import json
import sys
from datetime import timedelta
from typing import Any

OF_ONE_PROPERTY = 60
PHONES = 2
PROGRAMS = 4
OFFICES = 2
SHEETS_EACH = 20


def make(stations: int, readers: int) -> dict[str, Any]:
    """Make them; stations of many properties, each as (reference, its property's, its name)."""
    from django.utils import timezone

    from faults.models import DigestChoice
    from sites.kernel.engines.roles import Role
    from sites.models import Station
    from tests import make, make_due, make_tokens

    today = timezone.now().date()
    owner = make.user(Role.OWNER, username="olive")
    rows = []
    for number in range(-(-stations // OF_ONE_PROPERTY)):
        clock = make.controller(property=make.place(code=f"ELM-{number}"), name="A")
        made = Station.objects.bulk_create(
            Station(controller=clock, number=n) for n in range(1, OF_ONE_PROPERTY + 1)
        )
        rows += [(each.ref, clock.property.ref, f"A:{each.number}") for each in made]
    make_due.follow_up(property=clock.property, due_on=today - timedelta(days=2))
    people = [
        make.user(Role.DISPATCHER, username=f"reader{n}", email=f"reader{n}@example.org")
        for n in range(readers)
    ]
    # Nobody gets a mail before asking for one.
    for each in people:
        DigestChoice.objects.create(user=each, is_wanted=False, at_hour=0)
    return {
        "stations": rows[:stations],
        "tokens": [make_tokens.token(owner) for _ in range(PROGRAMS)],
        "offices": [session(make.user(Role.DISPATCHER)) for _ in range(OFFICES)],
        "phones": [phone(clock) for _ in range(PHONES)],
        "quotes": quotes(clock, readers),
        "readers": [{"user": each.pk, "session": session(each)} for each in people],
    }


def quotes(clock: Any, count: int) -> list[str]:
    """Make quotes that nobody has sent yet, and return their references."""
    from django.utils import timezone

    from sites.kernel.engines.roles import Role
    from tests import make, make_prices, make_quotes

    make_prices.price_list()
    today, by = timezone.now().date(), make.user(Role.DISPATCHER)
    until = today + timedelta(days=30)
    made = []
    for _ in range(count):
        station = make.station(controller=make.controller(property=clock.property))
        fault = make_quotes.found_fault(station=station)
        made.append(make_quotes.quote(fault, today=today, by=by, valid_until=until).ref)
    return made


def session(user: Any) -> str:
    """Sign a user in, and return the cookie that says so."""
    from django.conf import settings

    from tests.web.pages import signed_in

    return str(signed_in(user).cookies[settings.SESSION_COOKIE_NAME].value)


def phone(clock: Any) -> dict[str, Any]:
    """Make a technician with jobs, whose stations are measured and photographed."""
    from django.utils import timezone

    from sites.kernel.engines.roles import Role
    from tests import make, make_jobs

    user, today = make.user(Role.TECHNICIAN), timezone.now().date()
    crew = make_jobs.crew(user)
    jobs = []
    for _ in range(SHEETS_EACH):
        station = make.station(controller=make.controller(property=clock.property))
        started = make_jobs.started(
            fault=make.fault(station), crew=crew, day=today, started_at=timezone.now()
        )
        jobs.append({"job": started.ref, "station": station.pk})
    return {"user": f"u{user.pk}", "session": session(user), "jobs": jobs}


if __name__ == "__main__":
    import django

    django.setup()
    from django.core.management import call_command

    call_command("collectstatic", interactive=False, verbosity=0)
    made = make(*map(int, sys.argv[1:]))
    call_command("rebuild")
    print("\n" + json.dumps(made))

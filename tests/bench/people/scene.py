"""Who works with the service: run as a script in its surroundings, prints JSON.

python -m tests.bench.people.scene PEOPLE PHONES
"""

import json
import sys
from typing import Any

# By the names of `Role`, of a company with fifty people at screens. Common practice, no source.
SHARES = {
    "OWNER": 2,
    "WATER_MANAGER": 4,
    "DISPATCHER": 6,
    "TECHNICIAN": 10,
    "TRACER": 1,
    "CLIENT": 2,
}


def make(people: int, phones: int) -> dict[str, Any]:
    """Make people by their shares and phones with one started job each, and sign all of them in."""
    from django.utils import timezone

    from sites.kernel.engines.roles import Role
    from sites.models import Property
    from tests import make, make_jobs
    from tests.bench.kills.scene import session

    place = Property.objects.order_by("pk").first() or make.place(code="ELM-1")
    of_all = [role for role in SHARES for _ in range(SHARES[role])]
    # Spread, so that few people are of many roles too.
    roles = [Role[of_all[number * len(of_all) // people]] for number in range(people)]
    limits = {Role.CLIENT: {"client": place.client}, Role.TRACER: {"property": place}}
    made = []
    for number, role in enumerate(roles):
        user = make.user(role, username=f"person{number}", **limits.get(role, {}))
        made.append({"role": role.value, "session": session(user)})
    clock, today = make.controller(property=place, name="Signal"), timezone.now().date()
    found = []
    for number in range(phones):
        user = make.user(Role.TECHNICIAN, username=f"phone{number}")
        station = make.station(controller=clock)
        job = make_jobs.started(
            fault=make.fault(station),
            crew=make_jobs.crew(user),
            day=today,
            started_at=timezone.now(),
        )
        job_told = {"job": job.ref, "station": station.pk}
        found.append({"user": f"u{user.pk}", "session": session(user), "jobs": [job_told]})
    stations = [each.ref for each in clock.stations.order_by("pk")[:200]]
    return {"people": made, "phones": found, "stations": stations}


if __name__ == "__main__":
    import django

    django.setup()
    from django.core.management import call_command

    call_command("collectstatic", interactive=False, verbosity=0)
    told = make(*map(int, sys.argv[1:]))
    call_command("rebuild")
    print("\n" + json.dumps(told))

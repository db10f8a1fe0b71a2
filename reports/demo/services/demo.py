"""The demo: an invented contractor's register, and a person for each role.

It lives in a database of its own and signs anyone in, so it exists only where `manage.py demo`
started the process; settings refuse to combine it with other hosts.
"""

from datetime import date, datetime
from decimal import Decimal

from django.conf import settings
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.db.models import Count

from faults.models import Assignment, Fault
from reports.decisions.services.costs import keep_renewal_costs
from reports.demo.services.demo_decisions import make_demo_decisions
from reports.goals.services.setting import set_goal
from reports.models import Goal, RenewalCosts
from reports.summaries.services.kept_runs import KEPT, ask_for, newest
from sites.kernel.engines.roles import Role
from sites.models import Client, Grant, Property, User
from sites.runs.services import execute_run

DEMO_NAMES = {
    Role.OWNER: ("demo-owner", "Odell", "Owner"),
    Role.WATER_MANAGER: ("demo-water-manager", "Wyn", "Water"),
    Role.DISPATCHER: ("demo-dispatcher", "Dara", "Dispatch"),
    Role.TECHNICIAN: ("demo-technician", "Tam", "Tracer"),
    Role.TRACER: ("demo-subcontracted-tracer", "Sol", "Sub"),
    Role.CLIENT: ("demo-client", "Cleo", "Client"),
}


def is_demo_database() -> bool:
    """Return whether this database was made by the demo, or holds nothing yet."""
    return (
        User.objects.filter(username__in=[name for name, _, _ in DEMO_NAMES.values()]).exists()
        or not Property.objects.exists()
    )


@transaction.atomic
def make_demo_people() -> None:
    """Make one person per role; outsiders see one client's or one property's things only."""
    first_client = Client.objects.annotate(n=Count("properties")).order_by("-n", "name").first()
    first_property = Property.objects.order_by("code").first()
    for role, (username, first, last) in DEMO_NAMES.items():
        user, _ = User.objects.get_or_create(
            username=username,
            defaults={"first_name": first, "last_name": last, "email": f"{username}@example.com"},
        )
        user.set_unusable_password()
        user.save()
        Grant.objects.get_or_create(
            user=user,
            role=role.value,
            client=first_client if role is Role.CLIENT else None,
            property=first_property if role is Role.TRACER else None,
        )
        if role is Role.TRACER and first_property is not None:
            _assign_open_faults(user, first_property)


def _assign_open_faults(tracer: User, place: Property) -> None:
    for fault in Fault.objects.open().filter(property=place).order_by("pk"):
        Assignment.objects.get_or_create(
            fault=fault, user=tracer, to_on=None, defaults={"from_on": fault.reported_on}
        )


def make_demo_answers(*, at: datetime, today: date) -> None:
    """Set a goal, decide, and work out what pages keep, as the owner would: nobody waits then."""
    owner = User.objects.get(username=DEMO_NAMES[Role.OWNER][0])
    with transaction.atomic():  # no thread sets off before all of it is done here
        if not Goal.objects.exists():
            set_goal(
                goal_place=None,
                most_percent=3,
                by_on=date(today.year + 1, 6, 30),
                why="Asked for by the largest client",
                by=owner,
                at=at,
                today=today,
            )
        if not RenewalCosts.objects.exists():
            keep_renewal_costs(
                costs_place=None,
                per_foot=Decimal("9.50"),
                per_foot_paved=Decimal(28),
                per_foot_ploughed=Decimal("8.40"),
                per_foot_pulled=Decimal("6.10"),
                fixed=Decimal(350),
                by=owner,
                today=today,
            )
        make_demo_decisions(by=owner, today=today)
        for service in KEPT:
            if newest(owner, service) is None:
                execute_run(ask_for(service, by=owner, at=at).pk)


def demo_user(role: str) -> User:
    """Return the demo's person for a role.

    Raises:
        PermissionDenied: this is not the demo, or there is no such role.
    """
    if not settings.DEMO or role not in list(Role):
        raise PermissionDenied
    return User.objects.get(username=DEMO_NAMES[Role(role)][0])

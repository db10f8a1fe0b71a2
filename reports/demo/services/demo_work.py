"""The demo's work: crews, a notice rule, jobs of this week, tickets, questions, what falls due.

All of it is invented and made by the verbs that people use, on days around today, so that the
demo never grows old.
"""

from datetime import date, datetime, time, timedelta

from faults.cases.engines.stages import Stage
from faults.cases.services.asking import Question, ask_client
from faults.due.services.raising import raise_by_rules
from faults.models import (
    AwayFor,
    Crew,
    Fault,
    Job,
    JobKind,
    NoticeRule,
    OperatorState,
)
from faults.notices.services.closed import make_closed_days
from faults.notices.services.rules import add_rule, confirm_rule
from faults.notices.services.tickets import OperatorLine, TicketFacts, enter_answers, give_notice
from faults.rounds.services.planning import plan_rounds_ahead
from faults.waits.services.waits import rebuild_all_waits
from faults.work.services.assigning import assign_job, lock_job
from faults.work.services.crew_facts import CrewFacts
from faults.work.services.crews import add_crew, add_member
from faults.work.services.defaults import facts_for
from faults.work.services.planning import plan_job
from faults.work.services.working_weeks import add_person_away
from reports.demo.services.demo_bills import make_demo_bills
from reports.demo.services.demo_calls import make_demo_calls
from reports.demo.services.demo_central import make_demo_central
from reports.demo.services.demo_days import make_demo_days
from reports.demo.services.demo_hooks import make_demo_hooks
from reports.demo.services.demo_loops import make_demo_loops
from reports.demo.services.demo_past import make_demo_kept, make_demo_past
from reports.demo.services.demo_quotes import (
    make_demo_prices,
    make_demo_promises,
    make_demo_quote,
    make_demo_search_quote,
)
from reports.demo.services.demo_reports import make_demo_reports
from reports.demo.services.demo_rounds import make_demo_rounds
from reports.demo.services.demo_searches import make_demo_searches
from sites.kernel.engines.roles import Role
from sites.models import Grant, Property, User
from sites.register.engines.open_hours import WeekHours
from sites.register.services.access_days import add_blackout, set_access_hours

REGION = "Dry Basin"
YARD = (33.44, -113.86)
CREWS = (("North van", time(7, 0), time(15, 30)), ("South van", time(7, 30), time(16, 0)))
LUNCH = (time(12, 0), time(12, 30))
HANDS = (("demo-digger", "Dov", "Digger", 0, 1), ("demo-second-tracer", "Nia", "Needle", 1, 3))
OPERATORS = ("Basin Light", "Dry Creek Gas", "Longwire Phone")


def make_demo_work(*, at: datetime, today: date) -> None:
    """Make the work once; a second call finds the crews and leaves all as it is."""
    if Crew.objects.exists():
        return
    people = {user.username: user for user in User.objects.all()}
    owner, dispatcher = people["demo-owner"], people["demo-dispatcher"]
    crews = _make_crews(people["demo-technician"], today)
    _make_rule(owner, today)
    _close_some_days(today)
    days = _working_days(today)
    _send_tracers(crews, days, by=dispatcher, at=at, today=today)
    _dig(crews[0], days, by=dispatcher, at=at, today=today)
    _other_visits(crews, days, by=dispatcher, at=at, today=today)
    _ask(by=people["demo-water-manager"], today=today)
    make_demo_prices(by=owner, today=today)
    make_demo_quote(crew=crews[0], by=dispatcher, at=at, today=today)
    make_demo_search_quote(by=dispatcher, at=at, today=today)
    make_demo_promises(by=dispatcher, at=at, today=today)
    technician = people["demo-technician"]
    make_demo_bills(crew=crews[0], hand=technician, by=owner, at=at, today=today)
    make_demo_past(crews=crews, today=today)
    make_demo_kept(by=dispatcher, today=today)
    make_demo_searches(by=technician, at=at)
    make_demo_loops(by=technician, at=at, today=today, crew=crews[1], day=days[2])
    make_demo_rounds(by=dispatcher, hand=technician, at=at, today=today, crew=crews[0], day=days[0])
    make_demo_calls(by=dispatcher, at=at, today=today, crew=crews[0], days=days)
    make_demo_days(crews=crews, days=days, by=dispatcher, at=at, today=today)
    make_demo_central(by=dispatcher, at=at, today=today)
    plan_rounds_ahead(at=at, go_on=lambda: None)
    raise_by_rules(at=at)
    rebuild_all_waits()
    make_demo_hooks(owner=owner, at=at)
    make_demo_reports(
        owner=owner, desk=people["demo-water-manager"], reader=people["demo-client"], at=at
    )


def _working_days(today: date) -> list[date]:
    days = [today + timedelta(days=n) for n in range(12)]
    return [day for day in days if day.weekday() < 5]


def _make_crews(technician: User, today: date) -> list[Crew]:
    since = today - timedelta(days=200)
    crews = [
        add_crew(facts=CrewFacts(name, starts, ends, "van", *YARD, *LUNCH))
        for name, starts, ends in CREWS
    ]
    add_member(crew=crews[0], user=technician, skill=2, from_on=since)
    for username, first, last, crew, skill in HANDS:
        user = User.objects.create(
            username=username, first_name=first, last_name=last, email=f"{username}@example.com"
        )
        user.set_unusable_password()
        user.save()
        Grant.objects.create(user=user, role=Role.TECHNICIAN.value)
        member = add_member(crew=crews[crew], user=user, skill=skill, from_on=since)
        if crew == 0:
            day = _working_days(today)[4]
            add_person_away(
                member=member, from_on=day, to_on=day + timedelta(days=1), kind=AwayFor.HOLIDAY
            )
    return crews


def _make_rule(owner: User, today: date) -> NoticeRule:
    closed = make_closed_days(
        name="Dry Basin centre",
        country="US",
        subdivision="",
        weekend="56",
        years=[today.year, today.year + 1],
    )
    rule = add_rule(
        values={
            "region": REGION,
            "source_url": "invented for the demo",
            "source_date": today,
            "wait_n": 2,
            "wait_unit": "working day",
            "day_start": time(7, 0),
            "day_end": time(17, 0),
            "closed_days": closed,
            "max_ahead_n": 14,
            "life_n": 28,
            "life_unit": "calendar day",
            "life_from": "notice",
            "tolerance_in": 24.0,
        }
    )
    confirm_rule(rule=rule, by=owner, on=today, today=today)
    rule.refresh_from_db()
    return rule


def _close_some_days(today: date) -> None:
    school = Property.objects.get(code="Larkmoor School")
    add_blackout(
        place=school,
        from_on=today + timedelta(days=2),
        to_on=today + timedelta(days=5),
        why="examinations",
    )
    village = Property.objects.get(code="Heronsedge")
    hours = [WeekHours(weekday, time(8, 30), time(16, 30)) for weekday in range(5)]
    set_access_hours(place=village, hours=hours)


def _of_stage(stage: Stage) -> list[Fault]:
    rows = Fault.objects.filter(stage=stage.value).select_related("property")
    return list(rows.order_by("reported_on", "pk"))


def _plan(kind: JobKind, fault: Fault, *, by: User, today: date) -> Job:
    facts = facts_for(kind, fault)
    return plan_job(
        place=fault.property, kind=kind.value, facts=facts, fault=fault, by=by, today=today
    )


def _send_tracers(
    crews: list[Crew], days: list[date], *, by: User, at: datetime, today: date
) -> None:
    """Tracing visits: two a day for each van, the first of them locked; some wait in the tray."""
    faults = _of_stage(Stage.SCHEDULED)
    for n, fault in enumerate(faults):
        job = _plan(JobKind.LOCATE, fault, by=by, today=today)
        if n == len(faults) - 1:
            continue
        crew, day = crews[n % 2], days[min(n // 3, len(days) - 1)]
        starts_at = (time(8, 0), time(10, 30), time(13, 0))[n % 3]
        why = "the other van's tracer comes along" if job.skill_needed > 2 else ""
        assign_job(
            job=job, crew=crew, day=day, starts_at=starts_at, by=by, at=at, today=today, why=why
        )
        if n == 0:
            lock_job(job=job)
    for fault in _of_stage(Stage.REPORTED)[:2]:
        _plan(JobKind.LOCATE, fault, by=by, today=today)


def _dig(crew: Crew, days: list[date], *, by: User, at: datetime, today: date) -> None:
    """Agreed digs: one ticket answered by all, one that waits for its operators, one without."""
    agreed = _of_stage(Stage.AGREED)
    for n, fault in enumerate(agreed[:2]):
        given = at - timedelta(days=9 if n == 0 else 1)
        notice = give_notice(
            place=fault.property,
            fault=fault,
            facts=TicketFacts(
                ticket=f"DB-{2000 + fault.pk}",
                given_at=given,
                proposed_start_on=given.date() + timedelta(days=4),
                area="beside the valve box",
            ),
            operators=OPERATORS,
            by=by,
            at=at,
        )
        if n == 0:
            told = [
                OperatorLine(row.operator, OperatorState.MARKED.value, today, row=row.pk)
                for row in notice.operators.order_by("pk")
            ]
            enter_answers(notice=notice, lines=told, today=today)
        job = _plan(JobKind.DIG, fault, by=by, today=today)
        job.planned_depth_in = 18.0
        job.save()
        day = days[min(3 + n, len(days) - 1)]
        assign_job(job=job, crew=crew, day=day, starts_at=time(9, 0), by=by, at=at, today=today)


def _other_visits(
    crews: list[Crew], days: list[date], *, by: User, at: datetime, today: date
) -> None:
    proven = _of_stage(Stage.PROVEN)
    for fault in proven[:1]:
        job = _plan(JobKind.RETURN, fault, by=by, today=today)
        assign_job(
            job=job, crew=crews[1], day=days[1], starts_at=time(14, 0), by=by, at=at, today=today
        )
    place = Property.objects.get(code="Brindle Oval")
    round_of_batteries = plan_job(
        place=place,
        kind=JobKind.BATTERIES.value,
        facts=facts_for(JobKind.BATTERIES),
        devices=list(place.devices.order_by("name", "pk")[:4]),
        by=by,
        today=today,
    )
    assign_job(job=round_of_batteries, crew=crews[1], day=days[2], by=by, at=at, today=today)


def _ask(*, by: User, today: date) -> None:
    for n, fault in enumerate(_of_stage(Stage.FOUND)[:3]):
        question = Question(
            asked_on=max(fault.reported_on, today - timedelta(days=3 + 5 * n)),
            asked_of="the property's manager",
            what="dig by hand beside the main line and mend",
            up_to_hours=None,
        )
        ask_client(fault=fault, question=question, by=by, today=today)

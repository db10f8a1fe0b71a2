"""The daily mail: at the user's hour, in the user's language, once a day, and only what is seen."""

from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import pytest
from django.urls import reverse

from faults.due.services.digest import write_digests
from faults.due.services.unsubscribing import choose_digest, unsubscribe_url, user_of
from faults.models import Assignment, DigestChoice, FollowUpKind, FollowUpState, OutgoingMail
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_due
from tests.services.due.helpers import TODAY, ago, ahead, at

pytestmark = pytest.mark.django_db


def reader(role: Role = Role.DISPATCHER, **given: Any) -> User:
    """Make a user with a mail address."""
    number = User.objects.count()
    return make.user(role, **{"email": f"u{number}@example.org", "first_name": "Dora", **given})


def write(when: datetime | None = None) -> int:
    """Write the mails of this moment and return how many."""
    return write_digests(at=when or at(TODAY), go_on=lambda: None)["written"]


def test_it_tells_what_is_overdue_and_what_is_due_today() -> None:
    user = reader()
    place = make.place(code="FERN-ROW")
    make_due.follow_up(property=place, what="old thing", due_on=ago(3))
    make_due.follow_up(property=place, what="new thing")
    make_due.follow_up(property=place, what="later thing", due_on=ahead(1))
    make_due.follow_up(property=place, what="done", state=FollowUpState.DONE, done_on=ago(1))
    assert write() == 1
    mail = OutgoingMail.objects.get()
    assert (mail.to, mail.key) == (user.email, f"digest:{user.pk}:2025-06-15")
    assert mail.subject == "Sun 15 Jun: 1 overdue, 1 due today"
    assert "Overdue\n- 2025-06-12  FERN-ROW: old thing\n" in mail.text
    assert "Today\n- FERN-ROW: new thing\n" in mail.text
    assert "later thing" not in mail.text
    assert "done" not in mail.text
    assert unsubscribe_url(user.pk) in mail.text


def test_it_is_written_once_a_day_and_again_the_next() -> None:
    reader()
    make_due.follow_up()
    assert [write(), write(at(TODAY, 20)), write(at(ahead(1)))] == [1, 0, 1]


def test_nothing_due_writes_nothing() -> None:
    reader()
    make_due.follow_up(due_on=ahead(1))
    assert write() == 0


@pytest.mark.parametrize(
    ("zone", "hour", "is_written"),
    [
        ("America/Denver", 11, False),  # 5 in the morning there
        ("America/Denver", 12, True),
        ("Asia/Tokyo", 20, False),  # 5 in the morning of the next day there
        ("Asia/Tokyo", 21, True),
    ],
)
def test_the_hour_is_the_users(zone: str, hour: int, is_written: bool) -> None:
    user = reader(time_zone=zone)
    make_due.follow_up()
    assert write(at(TODAY, hour)) == is_written
    keys = [mail.key for mail in OutgoingMail.objects.all()]
    day = "2025-06-16" if zone == "Asia/Tokyo" else "2025-06-15"
    assert keys == ([f"digest:{user.pk}:{day}"] if is_written else [])


def test_an_hour_of_ones_own_and_a_no_are_kept() -> None:
    late, never = reader(), reader()
    choose_digest(user=late, is_wanted=True, at_hour=19)
    choose_digest(user=never, is_wanted=False, at_hour=6)
    make_due.follow_up()
    assert write(at(TODAY, 18)) == 0
    assert write(at(TODAY, 19)) == 1
    assert DigestChoice.objects.count() == 2


def test_a_missed_hour_is_made_good_later_that_day() -> None:
    reader()
    make_due.follow_up()
    assert write(at(TODAY, 23)) == 1


def test_it_is_in_the_users_language() -> None:
    reader(language="es")
    make_due.follow_up(due_on=ago(1))
    write()
    assert "jun" in OutgoingMail.objects.get().subject.lower()
    assert OutgoingMail.objects.get().subject.startswith("dom")


def test_everybody_reads_only_what_they_may_see() -> None:
    here, there = make.place(code="HERE"), make.place(code="THERE")
    near = reader(Role.TECHNICIAN, property=here)
    reader(Role.CLIENT, client=here.client)
    reader(Role.OWNER, is_active=False)
    far = reader(Role.TECHNICIAN, property=make.place())
    for place in (here, there):
        make_due.follow_up(property=place)
    assert write() == 1
    mail = OutgoingMail.objects.get()
    assert mail.user == near != far
    assert "HERE:" in mail.text
    assert "THERE:" not in mail.text


def test_what_is_with_somebody_else_is_not_ones_own() -> None:
    tessa, tom = reader(Role.TECHNICIAN), reader(Role.TECHNICIAN)
    make_due.follow_up(handed_to=tessa)
    assert write() == 1
    assert OutgoingMail.objects.get().user == tessa != tom


def test_the_visits_of_ones_crew_are_in_it() -> None:
    user = reader(Role.TECHNICIAN)
    crew, other = make_due.crew(user), make_due.crew()
    place = make.place(code="FERN-ROW")
    make_due.job(property=place, crew=crew, day=TODAY, starts_at=time(9, 30))
    make_due.job(property=place, crew=crew, day=ahead(1))
    make_due.job(crew=other, day=TODAY)
    assert write() == 1
    mail = OutgoingMail.objects.get()
    assert mail.subject.endswith("1 visit")
    assert "- 09:30 FERN-ROW: locate\n" in mail.text


def test_a_day_due_is_a_day_of_the_property() -> None:
    reader()
    place = make.place(time_zone="Pacific/Kiritimati")
    make_due.follow_up(property=place, due_on=date(2025, 6, 16))
    assert write(datetime(2025, 6, 15, 9, tzinfo=UTC)) == 0
    assert write(datetime(2025, 6, 15, 10, tzinfo=UTC)) == 1


def test_what_is_late_is_one_line_for_each_kind_and_property_with_its_count() -> None:
    reader()
    place = make.place(code="FERN-ROW")
    for days in (1, 9, 5):
        make_due.follow_up(property=place, kind=FollowUpKind.CHECK_UP, what="", due_on=ago(days))
    make_due.follow_up(property=place, what="the new thing")
    write()
    mail = OutgoingMail.objects.get()
    assert mail.subject.endswith("3 overdue, 1 due today")
    assert f"- FERN-ROW: yearly wire check-up: 3, the oldest since {ago(9)}\n" in mail.text
    assert "/due/?q=FERN-ROW&kind=check-up&when=overdue\n" in mail.text
    assert mail.text.index("the new thing") < mail.text.index("Overdue")


def test_a_long_list_is_cut_and_says_how_much_is_left() -> None:
    reader()
    for _ in range(43):
        place = make.place()
        make_due.follow_up(property=place, due_on=ago(1))
        make_due.follow_up(property=place)
    write()
    mail = OutgoingMail.objects.get()
    assert mail.text.count(f"- {ago(1)}") == 40
    assert mail.text.count("And 3 more.") == 2


def test_visits_come_first_and_every_line_has_a_link(settings: Any) -> None:
    settings.SITE_URL = "https://rejoin.example.org"
    user = reader(Role.TECHNICIAN)
    place = make.place(code="FERN-ROW")
    job = make_due.job(property=place, crew=make_due.crew(user), day=TODAY)
    make_due.follow_up(property=place, due_on=ago(3))
    make_due.follow_up(property=place)
    write()
    text = OutgoingMail.objects.get().text
    assert text.index("Visits") < text.index("Today\n") < text.index("Overdue")
    lines = text.splitlines()
    told = [n for n, line in enumerate(lines) if line.startswith("- ")]
    assert len(told) == 3
    assert all(lines[n + 1].startswith("  https://rejoin.example.org/") for n in told)
    assert lines[told[0] + 1].endswith(reverse("faults:sheet", args=[job.ref]))


@pytest.mark.parametrize(
    ("role", "kinds"),
    [
        (Role.DISPATCHER, ["ask the client again", "digging may start", "noted by hand"]),
        (Role.TECHNICIAN, ["digging may start", "noted by hand"]),
        (Role.TRACER, []),
    ],
)
def test_nobody_is_told_to_do_what_the_role_may_not(role: Role, kinds: list[str]) -> None:
    fault = make.fault(make.station())
    limited = {"property": fault.property} if role is Role.TRACER else {}
    user = reader(role, **limited)
    Assignment.objects.create(fault=fault, user=user, from_on=ago(9))
    for kind in (FollowUpKind.CHASE_CLIENT, FollowUpKind.NOTICE_CLEAR, FollowUpKind.BY_HAND):
        for _ in range(2):
            make_due.follow_up(
                property=fault.property, fault=fault, kind=kind, what=kind, due_on=ago(1)
            )
    write()
    text = "".join(mail.text for mail in OutgoingMail.objects.all())
    known = ["ask the client again", "digging may start", "noted by hand"]
    assert [kind for kind in known if f": {kind}: 2" in text] == kinds


def test_the_link_that_ends_it_belongs_to_one_user_and_cannot_be_made_up() -> None:
    user = reader()
    token = unsubscribe_url(user.pk).rstrip("/").rsplit("/", 1)[1]
    assert user_of(token) == user
    assert user_of(token[:-1] + ("a" if token[-1] != "a" else "b")) is None
    assert user_of("nonsense") is None


def test_the_message_id_names_user_and_day() -> None:
    user = reader()
    make_due.follow_up()
    write()
    mail = OutgoingMail.objects.get()
    assert f"digest-{user.pk}-2025-06-15" in mail.message_id
    assert mail.next_try_at <= at(TODAY) + timedelta(seconds=1)

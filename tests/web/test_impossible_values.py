"""Years and lengths that nobody can mean are refused where they are typed; printed days asked."""

from typing import Any

import pytest
from django.db import transaction
from django.db.models import ProtectedError
from django.urls import reverse

from faults.models import Notice
from sites.models import Leg, User
from tests import make, make_jobs, make_notices
from tests.cast import Cast, Corner
from tests.web.pages import open_page, send, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


@pytest.mark.parametrize("day", ["9999-12-31", "0026-11-28", "1949-12-31"])
def test_a_year_that_is_a_slip_is_refused_on_every_kind_of_form(
    cast: Cast, ours: Corner, day: str
) -> None:
    crew = make_jobs.crew(cast.technician)
    forms: list[tuple[str, dict[str, Any]]] = [
        (
            reverse("faults:crew_away_add", args=[crew.ref]),
            {"from_on": "2025-07-01", "last_on": day, "why": "ill"},
        ),
        (
            reverse("faults:due_note_at_fault", args=[ours.fault.ref]),
            {"what": "call", "due_on": day},
        ),
        (
            reverse("faults:reading_add", args=[ours.off_central.ref]),
            {"kind": "ohms", "value": 30, "taken_on": day},
        ),
    ]
    for url, fields in forms:
        sheet = send(cast.owner, url, **fields)
        assert sheet.status == 422, url
        assert "Look at the year" in " ".join(sheet.errors), url


@pytest.mark.parametrize(("feet", "status"), [("100000", 200), ("100001", 422), ("1e300", 422)])
def test_a_length_beyond_all_sites_is_refused(
    cast: Cast, ours: Corner, feet: str, status: int
) -> None:
    place = ours.property
    points = [make.point(property=place, name=name) for name in ("box 1", "box 2")]
    sheet = send(
        cast.owner,
        reverse("sites:leg_add", args=[place.ref]),
        start=points[0].pk,
        end=points[1].pk,
        label="L-9",
        length_ft=feet,
        length_source="measured",
    )
    assert sheet.status == status, sheet.errors
    assert Leg.objects.filter(label="L-9").exists() is (status == 200)


def _give(cast: Cast, ours: Corner, **given: Any) -> Any:
    fields = {"ticket": "A-1", "given_at": "2025-06-13T10:00", "proposed_start_on": "2025-06-17"}
    url = reverse("faults:notice_give", args=[ours.fault.ref])
    return send(cast.technician, url, **{**fields, **given})


@pytest.fixture
def ohio(ours: Corner) -> None:
    """Our property lies in Ohio: 18 June is the first day to dig."""
    make_notices.rule(region="Ohio")
    ours.property.notice_region = "Ohio"
    ours.property.save()


@pytest.mark.parametrize(
    ("start", "is_asked"),
    [
        ("2025-06-28", False),
        ("2025-06-29", True),
        ("2025-06-13", False),
        ("2026-06-18", True),
    ],
)
@pytest.mark.usefixtures("ohio")
def test_a_printed_start_more_than_ten_days_from_the_rules_is_asked_about(
    cast: Cast, ours: Corner, start: str, is_asked: bool
) -> None:
    sheet = _give(cast, ours, printed_start_on=start)
    assert (sheet.status == 422) is is_asked
    if is_asked:
        assert "The rule says 2025-06-18" in " ".join(sheet.errors)


@pytest.mark.usefixtures("ohio")
def test_a_year_too_many_opens_no_dig_until_someone_looked_at_the_ticket(
    cast: Cast, ours: Corner
) -> None:
    sheet = _give(cast, ours, printed_expiry_on="2026-07-11")
    assert sheet.status == 422
    assert "Does the ticket really say 2026-07-11?" in " ".join(sheet.errors)
    assert sheet.value("printed_expiry_on") == "2026-07-11"
    assert Notice.objects.count() == 0
    kept = _give(cast, ours, printed_expiry_on="2026-07-11", is_sure="on")
    assert kept.status == 200
    assert "look at the ticket" in kept.facts()["Last day"]


def test_without_a_rule_a_life_of_more_than_four_months_is_asked_about(
    cast: Cast, ours: Corner
) -> None:
    assert _give(cast, ours, printed_expiry_on="2025-10-11").status == 200
    sheet = _give(cast, ours, ticket="A-2", printed_expiry_on="2025-10-12")
    assert sheet.status == 422


def test_people_end_and_are_never_deleted(cast: Cast) -> None:
    with pytest.raises(ProtectedError, match="inactive"), transaction.atomic():
        cast.technician.delete()
    with pytest.raises(ProtectedError, match="inactive"), transaction.atomic():
        User.objects.filter(pk=cast.technician.pk).delete()
    boss = make.user(is_staff=True, is_superuser=True)
    url = reverse("admin:sites_user_delete", args=[cast.technician.pk])
    assert signed_in(boss).post(url, {"post": "yes"}).status_code == 403
    assert User.objects.filter(pk=cast.technician.pk).exists()


@pytest.mark.parametrize(
    "url",
    ["/search/?q=%00", "/search/?q=a%00b", "/hotspots/?per_page=-1", "/stopgaps/?per_page=-1"],
)
def test_an_address_made_by_hand_is_no_mistake_of_ours(cast: Cast, url: str) -> None:
    assert open_page(cast.owner, url).status == 200


def test_a_users_page_is_kept_by_no_cache_on_the_way(cast: Cast) -> None:
    for url in ("/", "/due/", "/account/", "/export/register/"):
        kept = open_page(cast.owner, url).response.headers["Cache-Control"]
        assert "private" in kept
        assert "no-cache" in kept

"""Each named rule on users, properties, controllers and climate refuses what it names."""

from datetime import date

import pytest

from reports.models import PropertySummary
from sites.kernel.engines.roles import Role
from sites.models import (
    Central,
    ClimateRow,
    Contact,
    Equipment,
    Grant,
    Photo,
    PlanPicture,
    Property,
    RecoveryCode,
    SavedView,
    Tariff,
)
from sites.models.doors import recognised
from tests import make, make_tokens
from tests.models.refusals import refused_by

pytestmark = pytest.mark.django_db


def test_grant_covers_a_client_or_a_property_not_both() -> None:
    where = make.place()
    with refused_by("grant_covers_a_client_or_a_property_not_both"):
        make.user(Role.TECHNICIAN, client=where.client, property=where)


@pytest.mark.parametrize("role", [Role.CLIENT, Role.TRACER])
def test_grant_of_an_outsider_is_limited(role: Role) -> None:
    with refused_by("grant_of_an_outsider_is_limited"):
        make.user(role)


def test_grant_given_once() -> None:
    user = make.user(Role.OWNER)
    with refused_by("grant_given_once"):
        Grant.objects.create(user=user, role=Role.OWNER.value)


def test_recovery_code_given_once() -> None:
    given = {"user": make.user(), "code_hash": "a" * 64, "made_at": make.NOW}
    RecoveryCode.objects.create(**given)
    RecoveryCode.objects.create(**{**given, "code_hash": "b" * 64})
    with refused_by("recovery_code_given_once"):
        RecoveryCode.objects.create(**given)


def test_token_reaches_a_client_or_a_property_not_both() -> None:
    make_tokens.token(make.user(Role.OWNER))
    token, where = make_tokens.newest(), make.place()
    token.client, token.property = where.client, where
    with refused_by("token_reaches_a_client_or_a_property_not_both"):
        token.save()


def test_token_expires_after_it_is_made() -> None:
    make_tokens.token(make.user(Role.OWNER))
    token = make_tokens.newest()
    token.expires_at = token.made_at
    with refused_by("token_expires_after_it_is_made"):
        token.save()


def test_step_put_away_once() -> None:
    user = make.user()
    user.steps_put_away.create(step="batteries")
    make.user().steps_put_away.create(step="batteries")
    with refused_by("step_put_away_once"):
        user.steps_put_away.create(step="batteries")


def test_property_latitude_on_the_globe() -> None:
    with refused_by("property_latitude_on_the_globe"):
        make.place(latitude=90.5)


def test_property_longitude_on_the_globe() -> None:
    with refused_by("property_longitude_on_the_globe"):
        make.place(longitude=-180.5)


@pytest.mark.parametrize(("coldest", "warmest"), [(60.1, 60.0), (None, 70.0), (60.0, None)])
def test_property_ground_has_both_ends_in_order(
    coldest: float | None, warmest: float | None
) -> None:
    with refused_by("property_ground_has_both_ends_in_order"):
        make.place(ground_coldest_f=coldest, ground_warmest_f=warmest)


def test_contact_named_once_per_role() -> None:
    where = make.place()
    Contact.objects.create(property=where, name="Kim", role="pays")
    Contact.objects.create(property=where, name="Kim", role="on site")
    with refused_by("contact_named_once_per_role"):
        Contact.objects.create(property=where, name="Kim", role="pays")


def test_tariff_ends_after_it_starts() -> None:
    with refused_by("tariff_ends_after_it_starts"):
        Tariff.objects.create(
            property=make.place(), from_on=date(2025, 2, 1), to_on=date(2025, 1, 1)
        )


@pytest.mark.parametrize("price", ["water_price", "labour_rate", "standby_rate"])
def test_tariff_prices_not_negative(price: str) -> None:
    with refused_by("tariff_prices_not_negative"):
        Tariff.objects.create(property=make.place(), **{price: -1})


def _climate(where: Property | None = None, **given: object) -> ClimateRow:
    defaults = {"table": "valley", "month": 7, "eto_in": 7.5, "source": "station record"}
    return ClimateRow.objects.create(**{**defaults, "property": where, **given})


def test_climate_row_once_per_month_or_day() -> None:
    _climate()
    _climate(year=2025)
    with refused_by("climate_row_once_per_month_or_day"):
        _climate()


@pytest.mark.parametrize("month", [0, 13])
def test_climate_month_in_the_year(month: int) -> None:
    with refused_by("climate_month_in_the_year"):
        _climate(month=month)


@pytest.mark.parametrize("column", ["eto_in", "rain_in"])
def test_climate_not_negative(column: str) -> None:
    with refused_by("climate_not_negative"):
        _climate(**{column: -0.1})


def test_controller_named_once_per_property() -> None:
    clock = make.controller(name="A")
    make.controller(name="A")
    with refused_by("controller_named_once_per_property"):
        make.controller(property=clock.property, name="A")


def test_central_state_ends_after_it_starts() -> None:
    with refused_by("central_state_ends_after_it_starts"):
        make.central_state(from_on=date(2025, 2, 1), to_on=date(2025, 1, 1))


def test_central_state_lost_link_has_a_first_day() -> None:
    make.central_state(state=Central.LINKED, from_on=None)
    with refused_by("central_state_lost_link_has_a_first_day"):
        make.central_state(state=Central.LINK_LOST, from_on=None)


def test_central_state_lasts_a_day() -> None:
    with refused_by("central_state_lasts_a_day"):
        make.central_state(from_on=date(2025, 2, 1), to_on=date(2025, 2, 1))


def test_standing_authority_ends_after_it_starts() -> None:
    with refused_by("standing_authority_ends_after_it_starts"):
        make.authority(from_on=date(2025, 5, 2), to_on=date(2025, 5, 1))


def test_standing_authority_has_a_limit() -> None:
    with refused_by("standing_authority_has_a_limit"):
        make.authority(up_to_hours=None)


def test_equipment_ends_after_it_starts() -> None:
    with refused_by("equipment_ends_after_it_starts"):
        Equipment.objects.create(
            controller=make.controller(),
            label="wall clock",
            from_on=date(2025, 5, 2),
            to_on=date(2025, 5, 1),
        )


def test_saved_view_named_once_per_list() -> None:
    user = make.user()
    SavedView.objects.create(user=user, path="/stations/", name="mine")
    SavedView.objects.create(user=user, path="/stopgaps/", name="mine")
    with refused_by("saved_view_named_once_per_list"):
        SavedView.objects.create(user=user, path="/stations/", name="mine")


def test_plan_picture_distance_above_0() -> None:
    with refused_by("plan_picture_distance_above_0"):
        PlanPicture.objects.create(
            property=make.place(), file="x.jpg", width_px=1, height_px=1, distance_ft=0
        )


def test_photo_shows_one_thing() -> None:
    with refused_by("photo_shows_one_thing"):
        Photo.objects.create(file="x.jpg", width_px=1, height_px=1, added_at=make.NOW)


def test_summary_once_a_property_and_subject() -> None:
    where = make.place()
    for subject in ("hotspots", "other"):
        PropertySummary.objects.create(property=where, subject=subject)
    with refused_by("summary_once_a_property_and_subject"):
        PropertySummary.objects.create(property=where, subject="other")


@pytest.mark.parametrize(
    ("agent", "words"),
    [
        (
            "Mozilla/5.0 (X11; Linux x86_64) AppleWebKit/537.36 (KHTML, like Gecko) "
            "Some/156.0.0.0 Safari/537.36",
            "X11; Linux x86_64, Some",
        ),
        (
            "Mozilla/5.0 (Phone; CPU OS 18_1) AppleWebKit/605.1 (KHTML, like Gecko) "
            "Version/18.1 Mobile/15E148 Safari/604.1",
            "Phone; CPU OS 18_1, Safari",
        ),
        ("Mozilla/5.0 (X11; rv:140.0) Gecko/20100101 Other/140.0", "X11; rv:140.0, Other"),
        ("a program of ours", "a program of ours"),
        ("", ""),
    ],
)
def test_a_device_is_named_by_its_machine_and_its_browser(agent: str, words: str) -> None:
    assert recognised(agent) == words

"""Lives of legs that ended with a renewal: how far legs differ is fitted with them too."""

from datetime import date, timedelta

import pytest

from faults.cases.services.splitting import split_leg
from reports.hotspots.engines.evidence import Evidence
from reports.hotspots.services.collecting import collect
from reports.hotspots.services.evidence import evidence_for, evidence_of
from reports.hotspots.services.ranking import look
from reports.hotspots.services.scope import Family, Scope
from reports.summaries.services.summaries import keep_summaries
from sites.models import Renewal
from tests import make
from tests.services.hotspots.trunk import ALL, SINCE, UNTIL, Trunk, trunk

pytestmark = pytest.mark.django_db

RENEWED = date(2023, 1, 1)
Life = tuple[float, float, int, int]


def renew(line: Trunk, on: date = RENEWED, which: int = 0) -> None:
    Renewal.objects.create(leg=line.legs[which], on=on, kind="new conduit")


def lives(line: Trunk, scope: Scope = ALL) -> list[Life]:
    """Return ground, wire, and faults of ground and of wire causes of each life that ended."""
    return of(evidence_of(line.seen(scope)))


def of(one: Evidence) -> list[Life]:
    columns = (one.ended_ground, one.ended_wire, one.ended_by_ground, one.ended_by_wire)
    return sorted(zip(*(each.tolist() for each in columns), strict=True))


def kft_years(feet: float, start: date, end: date) -> float:
    return pytest.approx(feet / 1000 * (end - start).days / 365.25)  # type: ignore[no-any-return]


def test_a_leg_that_was_never_renewed_has_one_life() -> None:
    line = trunk()
    line.struck(line.legs[0], date(2022, 1, 1))
    assert lives(line) == []


def test_a_renewal_ends_a_life_with_its_feet_years_and_faults() -> None:
    line = trunk()
    make.wire(property=line.place).lies.create(leg=line.legs[0])
    renew(line)
    day = timedelta(days=1)
    # The day before, the day itself, the day after; before anybody kept records.
    for on in (RENEWED - day, RENEWED, RENEWED + day, SINCE - day, SINCE):
        line.struck(line.legs[0], on)
    line.struck(line.legs[0], date(2021, 1, 1), cause="splice")
    line.struck(line.legs[1], date(2021, 1, 1))
    ground = 0.1 * (RENEWED - SINCE).days / 365.25
    assert lives(line) == [(pytest.approx(ground), pytest.approx(2 * ground), 2, 1)]
    assert len(line.seen().stretches[line.legs[0].pk].events) == 2


def test_two_renewals_end_two_lives() -> None:
    line = trunk()
    again = date(2024, 1, 1)
    renew(line, again)
    renew(line)
    for on in (date(2022, 1, 1), date(2023, 5, 1), date(2023, 6, 1), date(2024, 6, 1)):
        line.struck(line.legs[0], on)
    first, second = kft_years(100, SINCE, RENEWED), kft_years(100, RENEWED, again)
    assert lives(line) == [(second, second, 2, 0), (first, first, 1, 0)]


@pytest.mark.parametrize("on", [SINCE - timedelta(days=1), SINCE, UNTIL])
def test_what_was_renewed_before_the_watch_or_after_it_had_no_life_in_view(on: date) -> None:
    line = trunk()
    renew(line, on)
    line.struck(line.legs[0], date(2022, 1, 1))
    assert lives(line) == []


def test_days_and_causes_in_view_hold_for_them_too() -> None:
    line = trunk()
    renew(line)
    for on, cause in ((date(2021, 6, 1), "splice"), (date(2022, 6, 1), "root")):
        line.struck(line.legs[0], on, cause=cause)
    late = date(2022, 1, 1)
    ground = kft_years(100, late, RENEWED)
    assert lives(line, Scope(UNTIL, late)) == [(ground, ground, 1, 0)]
    whole = kft_years(100, SINCE, RENEWED)
    assert lives(line, Scope(UNTIL, family=Family.WIRE)) == [(whole, whole, 0, 1)]
    assert lives(line, Scope(UNTIL, cause="shovel")) == [(whole, whole, 0, 0)]
    assert lives(line, Scope(RENEWED)) == []
    assert lives(line, Scope(RENEWED + timedelta(days=1))) == [(whole, whole, 1, 1)]


def test_a_split_after_a_renewal_changes_no_answer() -> None:
    line = trunk()
    renew(line)
    for on, feet in ((date(2021, 6, 1), 10.0), (date(2022, 6, 1), 90.0), (date(2024, 2, 1), 90.0)):
        line.struck(line.legs[0], on, feet_along=feet)
    line.struck(line.legs[0], date(2022, 7, 1))
    before, old = lives(line), look([line.place], ALL).ranked
    on = date(2024, 6, 1)
    point = make.point(property=line.place)
    split_leg(leg=line.legs[0], point=point, feet=40, from_second=False, on=on, today=on)
    assert lives(line) == [tuple(pytest.approx(each) for each in life) for life in before]
    new = look([line.place], ALL).ranked
    assert new is not None
    assert old is not None
    assert new.prior.mean == pytest.approx(old.prior.mean)
    assert new.p.tolist() == pytest.approx(old.p.tolist())


def test_a_part_that_was_renewed_by_itself_ends_its_own_life() -> None:
    line = trunk()
    for on, feet in ((date(2021, 6, 1), 10.0), (date(2022, 6, 1), 90.0)):
        line.struck(line.legs[0], on, feet_along=feet)
    on, point = date(2022, 12, 1), make.point(property=line.place)
    parts = split_leg(leg=line.legs[0], point=point, feet=40, from_second=False, on=on, today=on)
    Renewal.objects.create(leg=parts.second, on=RENEWED, kind="new conduit")
    ground = kft_years(60, SINCE, RENEWED)
    assert lives(line) == [(ground, ground, 1, 0)]
    assert len(line.seen().stretches[line.legs[0].pk].events) == 1


def test_ground_that_nobody_surveyed_and_legs_that_are_gone_have_none() -> None:
    line = trunk()
    for which in (0, 1):
        renew(line, which=which)
        line.struck(line.legs[which], date(2022, 1, 1))
    line.legs[0].is_surveyed = False
    line.legs[0].save()
    line.legs[1].retired_on = date(2024, 1, 1)
    line.legs[1].save()
    assert lives(line) == []


def test_the_fit_takes_them_and_a_property_is_never_renewed() -> None:
    line = trunk((100.0,) * 12)
    for n in range(6):
        line.struck(line.legs[0], date(2021, 1, 1 + n))
    line.struck(line.legs[1], date(2024, 1, 1))
    renew(line)
    found, of_properties = look([line.place], ALL), look([line.place], ALL, by_properties=True)
    assert found.ranked is not None
    assert of_properties.ranked is not None
    # One fault on what is there; with the life that ended seven, so legs fail far more often.
    assert found.ranked.located_total == 1
    assert (found.ranked.fitted_total, of_properties.ranked.fitted_total) == (7, 1)
    assert found.ranked.prior.mean > 2
    assert of_properties.ranked.prior.mean == pytest.approx(1)


def test_what_is_kept_of_a_property_has_them_too() -> None:
    line = trunk()
    renew(line)
    line.struck(line.legs[0], date(2022, 1, 1), cause="splice")
    keep_summaries(at=make.NOW, go_on=lambda: None)
    scratch = evidence_of(collect([line.place], ALL))
    assert of(evidence_for([line.place], ALL)) == of(scratch)
    assert len(scratch.ended_ground) == 1

"""Whatever people do: figures that count as current are those that the records give."""

from collections import Counter
from typing import Any

import pytest

from faults.models import Fault, StageMove, Wait, WalkNote
from reports.hotspots.services import evidence
from reports.hotspots.services.collecting import collect
from reports.hotspots.services.evidence import evidence_for, evidence_of
from reports.issued.services import checking
from reports.models import PropertySummary
from reports.off_central.services import counted
from reports.summaries.services.summaries import Figures, keep_summaries, summaries_of
from sites.kernel.services.collecting import bulk_written
from sites.models import Meter, Outage, Property, Renewal, Station
from tests import make, make_billing, make_due, make_reports, make_rounds, make_searches, make_water
from tests.services.hotspots.trunk import ALL, UNTIL
from tests.services.load import GROUND, base, load
from tests.services.summaries.steps import STEPS, make_yard, step

pytestmark = pytest.mark.django_db

SUBJECTS = (evidence, counted, checking)


def keep() -> None:
    """Make and keep what was touched, as the task after a verb does."""
    keep_summaries(at=make.NOW, go_on=lambda: None)


def wrong(place: int) -> list[str]:
    """Return the subjects whose kept figures count as current, and are not."""
    found = []
    for subject in SUBJECTS:
        row = PropertySummary.objects.current().filter(property=place, subject=subject.SUBJECT)
        if (kept := row.first()) is not None:
            now = subject.make([place])[place]
            if Figures(kept.figures, bytes(kept.columns)) != now:
                found.append(subject.SUBJECT)
    return found


@pytest.mark.parametrize("seed", range(3))
def test_kept_figures_are_those_of_the_records_after_each_step(seed: int) -> None:
    yards = [make_yard(seed), make_yard(100 + seed)]
    keep()
    done = Counter[str]()
    for number in range(40):
        yard = yards[number % 2]
        name = step(yard)
        done[name] += 1
        assert [wrong(each.place.pk) for each in yards] == [[], []], (number, name)
        if yard.drawn.random() < 0.7:
            keep()
            assert PropertySummary.objects.current().count() == len(SUBJECTS) * len(yards), name
    assert sum(n for name, n in done.items() if name in STEPS) >= 8, done


def test_a_page_reads_what_the_records_say_before_anything_is_kept_again() -> None:
    yard = make_yard(7)
    place, key = yard.place, yard.place.pk
    keep()
    for _ in range(40):
        step(yard)
    scratch = evidence_of(collect([place], ALL))
    joined = evidence_for([place], ALL)
    assert joined.counts == scratch.counts
    for name in ("key", "owner", "part_ft", "part_since", "fault_on", "spread"):
        assert getattr(joined, name).tolist() == getattr(scratch, name).tolist(), name
    assert summaries_of(counted.SUBJECT, [key])[key] == counted.make([key])[key]


def test_a_day_beyond_the_last_in_view_is_no_evidence_yet() -> None:
    yard = make_yard(8)
    leg = yard.leg()
    for on in (UNTIL.replace(year=2024), UNTIL):
        fault = make.fault(make.station(), property=yard.place, reported_on=on, stage="returned")
        make.break_found(fault=fault, leg=leg, found_on=on)
    keep()
    assert evidence_for([yard.place], ALL).counts.located == 1
    row = PropertySummary.objects.get(property=yard.place, subject=evidence.SUBJECT)
    assert row.figures["newest"] == UNTIL.isoformat()


def test_what_was_touched_while_it_was_made_is_not_current(monkeypatch: pytest.MonkeyPatch) -> None:
    yard = make_yard(9)
    keep()
    row = PropertySummary.objects.filter(property=yard.place, subject=evidence.SUBJECT)
    make.leg(property=yard.place)
    whole = evidence.newest_day

    def meanwhile(place: object) -> object:
        monkeypatch.undo()
        make.leg(property=yard.place)
        return whole(yard.place)

    monkeypatch.setattr(evidence, "newest_day", meanwhile)
    keep()
    assert not row.current().exists()  # type: ignore[attr-defined]
    keep()
    assert row.current().exists()  # type: ignore[attr-defined]
    assert wrong(yard.place.pk) == []


INPUTS = [(each, model) for each in SUBJECTS for model in each.FOLLOWS_FROM]


@pytest.mark.parametrize(
    ("subject", "model"), INPUTS, ids=[f"{s.SUBJECT} {m.__name__}" for s, m in INPUTS]
)
def test_each_input_touches_its_own_property_alone(subject: Any, model: Any) -> None:
    yards = [make_yard(1), make_yard(2)]
    for yard in yards:
        station = yard.one(Station, controller__property=yard.place)
        make.stopgap(station=station)
        fault = make.fault(station)
        make_searches.finished(fault=fault, station=station)
        make.break_found(fault=fault, leg=yard.leg())
        Renewal.objects.create(leg=yard.leg(), on=make.TODAY, kind="guard")
        _told_by_reports(yard.place, station, fault)
    keep()
    assert PropertySummary.objects.current().count() == len(SUBJECTS) * len(yards)
    row = model.objects.order_by("pk").first()
    if model in (Wait, Meter):
        bulk_written.send(model, records=[row])
    else:
        row.save()
    stale = PropertySummary.objects.exclude(pk__in=PropertySummary.objects.current())
    touched = set(stale.values_list("subject", "property"))
    assert {place for _subject, place in touched} == {yards[0].place.pk}
    assert subject.SUBJECT in {name for name, _place in touched}


def _told_by_reports(place: Property, station: Station, fault: Fault) -> None:
    make_water.facts(station)
    make_water.schedule(station)
    make_water.tariff(place)
    make_water.climate(f"{place.code} table", property=place)
    Outage.objects.create(station=station, from_on=make.TODAY)
    make_billing.claim(fault=fault)
    row = fault.stations.get()
    StageMove.objects.create(fault_station=row, to_stage="found", moved_at=make.NOW)
    make_reports.proved(row)
    make_due.notice(fault=fault, property=place)
    make_billing.line(job=make_billing.done(fault=fault, property=place))
    (visit,) = make_rounds.planned(make_rounds.round_over(place, name=f"Walk of {place.code}"))
    make_rounds.left_out(station=station, job=visit.job)
    WalkNote.objects.create(station=station, seen_on=make.TODAY, result="works")


def test_files_that_are_loaded_touch_what_they_write() -> None:
    faults = "property code,fault key,reported,stations\nElm,F1,2025-01-05,A:1\n"
    load(*base(**GROUND, faults=faults))
    place = Property.objects.get(code="Elm")
    keep()
    load(*base(**GROUND, faults=faults.replace("2025-01-05", "2025-01-04")))
    assert wrong(place.pk) == []
    breaks = "fault key,leg,feet,found,cause\nF1,L2,30,2025-01-09,gopher\n"
    keep()
    load(*base(**GROUND, faults=faults, breaks=breaks))
    current = PropertySummary.objects.current().filter(property=place)
    assert not current.filter(subject=evidence.SUBJECT).exists()
    keep()
    assert wrong(place.pk) == []
    assert current.filter(subject=evidence.SUBJECT).get().figures["counts"][0] == 1


def test_what_an_earlier_version_kept_is_dropped() -> None:
    yard = make_yard(3)
    PropertySummary.objects.create(property=yard.place, subject="hotspots 0", made_of=0)
    keep()
    kept = PropertySummary.objects.order_by("subject").values_list("subject", flat=True)
    assert list(kept) == sorted(each.SUBJECT for each in SUBJECTS)


def test_a_change_meets_who_makes_figures_for_the_first_time() -> None:
    yard = make_yard(4)
    PropertySummary.objects.all().delete()
    make.leg(property=yard.place)
    row = PropertySummary.objects.get(subject=evidence.SUBJECT)
    assert (row.property_id, row.touched, row.made_of) == (yard.place.pk, 1, None)
    keep()
    assert wrong(yard.place.pk) == []

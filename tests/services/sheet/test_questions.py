"""The phone asks what the office's form of the same verb asks, in the same words."""

import pytest
from django import forms
from django.utils import translation

from faults.cases.forms.breaks import BreakForm
from faults.cases.forms.fields import depth_field
from faults.models import Job
from faults.sheet.forms.fields import Plain, asked
from faults.sheet.forms.payload import sheet_payload
from faults.work.forms.jobs import FinishForm, HoldForm, VehicleForm
from faults.work.forms.moves import FindForm, MendForm, ProveForm, ReturnForm
from tests import make, make_jobs

SAME = [
    ("found", BreakForm, ["leg", "from_point", "wires", "cause", "damage", "who_was_on_site"]),
    ("outside", FindForm, ["cause_outside", "side"]),
    ("mended", MendForm, ["how", "nothing_was_dug"]),
    ("proven", ProveForm, ["valve_opened_and_shut"]),
    ("returned", ReturnForm, ["how", "accepted_by_client_on"]),
    ("hold", HoldForm, ["held_for"]),
    ("vehicle", VehicleForm, ["parts_ready", "batteries_ready"]),
]


@pytest.fixture
def job() -> Job:
    return make_jobs.job(fault=make.fault())


def on_the_phone(job: Job, kind: str) -> dict[str, Plain]:
    """Return the questions of one form of the sheet, by name."""
    plain = sheet_payload(job=job, user=make.user(), today=make.TODAY, at=make.NOW)
    found = [one for step in plain["steps"] for one in step.get("forms", []) if one["kind"] == kind]
    return {each["name"]: each for each in found[0]["fields"]}


@pytest.mark.django_db
@pytest.mark.parametrize("language", ["en", "es"])
@pytest.mark.parametrize(("kind", "office", "names"), SAME, ids=[each[0] for each in SAME])
def test_words_are_those_of_the_office(
    job: Job, language: str, kind: str, office: type[forms.Form], names: list[str]
) -> None:
    with translation.override(language):
        phone = on_the_phone(job, kind)
        assert {name: phone[name]["label"] for name in names} == {
            name: str(office.base_fields[name].label) for name in names
        }


@pytest.mark.django_db
def test_minutes_keep_the_name_under_which_phones_send_them(job: Job) -> None:
    minutes = on_the_phone(job, "finish")["minutes"]
    assert minutes["label"] == str(FinishForm.base_fields["actual_minutes"].label)
    assert (minutes["type"], minutes["required"]) == ("number", True)


@pytest.mark.django_db
@pytest.mark.parametrize(("units", "unit", "factor"), [("US", "in", 1.0), ("metric", "cm", 0.3937)])
def test_a_depth_is_typed_in_the_propertys_units(units: str, unit: str, factor: float) -> None:
    fields = {"depth": depth_field(make.place(units=units), "Depth")}
    (plain,) = asked(fields, "depth", depth={"helper": True})
    assert (plain["label"], plain["unit"], plain["helper"]) == ("Depth", unit, True)
    assert plain["factor"] == pytest.approx(factor, abs=1e-4)


def test_a_choice_that_may_stay_open_has_no_answer_for_that() -> None:
    (damage,) = asked(BreakForm.base_fields, "damage")
    assert [value for value, _words in damage["options"]] == ["cut", "nick"]
    assert "required" not in damage


def test_a_text_is_as_long_as_in_the_office() -> None:
    (text,) = asked(FindForm.base_fields, "cause_outside")
    assert (text["type"], text["most"]) == ("text", 150)


def test_a_field_that_no_phone_can_ask_is_an_error() -> None:
    with pytest.raises(TypeError, match="Expected a field that a phone can ask"):
        asked({"file": forms.FileField()}, "file")

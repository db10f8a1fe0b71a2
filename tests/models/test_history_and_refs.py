"""What people edit leaves a history row; a row's reference never changes."""

import pytest
from django.apps import apps

from sites.models import Property, StationFacts
from sites.models.base import REF_ALPHABET, REF_LENGTH, Referenced, new_ref
from tests import make

pytestmark = pytest.mark.django_db

# Rows that nobody edits by hand: derived, written once, or machinery.
WITHOUT_HISTORY = {
    "sites": {
        "AuditLine",
        "Passkey",
        "RecoveryCode",
        "RoleWithSecondFactor",
        "SecondFactor",
        "SignedIn",
        "User",
        "Spell",
        "SpellPart",
        "WireLeg",
        "Run",
        "Upload",
        "FurtherFile",
        "LoadedRows",
        "SavedView",
        "StepPutAway",
        "SentForm",
        "TickedAct",
        "CentralList",
        "CentralFile",
        "CentralFolder",
        "NewestList",
        "StandingDifference",
        "ListedStation",
        "Meter",
        "WaterMonth",
    },
    # Moves, promises and what phones sent are rows that are only added; waits, rounds, mails and
    # what searches taught are kept by the program alone.
    "faults": {
        "StageMove",
        "Promise",
        "SheetItem",
        "Wait",
        "Beat",
        "OutgoingMail",
        "LearnedNumber",
    },
}


@pytest.mark.parametrize("app_label", sorted(WITHOUT_HISTORY))
def test_every_table_that_people_edit_keeps_history(app_label: str) -> None:
    models = apps.get_app_config(app_label).get_models()
    bare = {
        model.__name__
        for model in models
        if not hasattr(model, "history") and not model.__name__.startswith("Historical")
    }
    assert bare - {"Break_wires"} == WITHOUT_HISTORY[app_label]


def test_a_change_leaves_who_when_old_and_new() -> None:
    owner = make.user()
    where = make.place(address="1 Long Walk")
    where.address = "2 Long Walk"
    where._history_user = owner
    where.save()
    new, old = where.history.order_by("-history_date", "-history_id")
    assert (new.history_type, new.address, new.history_user) == ("~", "2 Long Walk", owner)
    assert (old.history_type, old.address) == ("+", "1 Long Walk")
    assert new.history_date >= old.history_date


def test_a_removed_row_leaves_its_last_state() -> None:
    facts = StationFacts.objects.create(station=make.station(), area_sqft=900.0)
    key = facts.pk
    facts.delete()
    assert StationFacts.history.filter(id=key, history_type="-").get().area_sqft == 900.0


def test_a_reference_stays_when_everything_else_changes() -> None:
    where = make.place(code="OLD")
    ref = where.ref
    where.code, where.client = "NEW", make.client()
    where.save()
    assert Property.objects.get(code="NEW").ref == ref


def test_references_differ_and_are_easy_to_read_out() -> None:
    refs = {new_ref() for _ in range(500)}
    assert len(refs) == 500
    assert {len(ref) for ref in refs} == {REF_LENGTH}
    assert set("".join(refs)) <= set(REF_ALPHABET)


def test_two_rows_of_a_table_never_share_a_reference() -> None:
    holders = [
        model
        for label in ("sites", "faults")
        for model in apps.get_app_config(label).get_models()
        if issubclass(model, Referenced)
    ]
    assert len(holders) >= 11
    assert all(model._meta.get_field("ref").unique for model in holders)

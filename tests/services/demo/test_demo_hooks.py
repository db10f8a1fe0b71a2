"""The demo's program that is told has a message of each state, and can reach nobody."""

from datetime import date

import pytest

from reports.demo.services.demo_hooks import make_demo_hooks
from reports.hooks.services.reaching import Refused, checked
from reports.models import Outcome, Receiver
from sites.kernel.engines.roles import Role
from sites.models import User
from tests import make, make_reports

pytestmark = pytest.mark.django_db


@pytest.fixture
def owner() -> User:
    """The demo's owner."""
    return make.user(Role.OWNER)


def test_one_message_is_accepted_one_given_up_and_what_comes_waits(owner: User) -> None:
    make_reports.court()
    make.stopgap(station=make.station(), on=date(2025, 10, 20))
    make_demo_hooks(owner=owner, at=make_reports.AT)
    make.stopgap(station=make.station(), on=date(2025, 10, 21))
    rows = Receiver.objects.get().deliveries.order_by("pk")
    states = [(bool(row.sent_at), bool(row.given_up_at), row.outcome) for row in rows]
    assert states == [(True, False, "accepted"), (False, True, "status"), (False, False, "")]


def test_its_address_is_known_to_no_name_server(
    owner: User, monkeypatch: pytest.MonkeyPatch
) -> None:
    make_reports.court()
    make_demo_hooks(owner=owner, at=make_reports.AT)
    asked: list[str] = []

    def nobody(host: str, port: int) -> list[str]:
        asked.append(host)
        raise OSError("not known")

    monkeypatch.setattr("reports.hooks.services.reaching.look_up", nobody)
    with pytest.raises(Refused) as refused:
        checked(Receiver.objects.get().address)
    assert refused.value.outcome is Outcome.UNKNOWN_NAME
    assert [name.rpartition(".")[2] for name in asked] == ["example"]

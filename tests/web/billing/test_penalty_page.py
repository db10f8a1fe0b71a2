"""What a client was paid for a fault: noted on its page, seen by those who see prices."""

from decimal import Decimal

import pytest
from django.urls import reverse

from faults.billing.services.penalties import note_penalty
from faults.billing.services.told import UnableToBill
from faults.models import Fault
from sites.kernel.engines.roles import Role
from tests import make, make_prices
from tests.cast import Cast, Corner
from tests.web.pages import open_page, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def page_of(fault: Fault) -> str:
    return reverse("faults:fault", args=[fault.ref])


def noting(fault: Fault) -> str:
    return reverse("faults:fault_penalty", args=[fault.ref])


def test_from_the_faults_page_and_back_and_taken_out_again(cast: Cast, ours: Corner) -> None:
    owner = make.user(Role.OWNER)
    shown = open_page(owner, page_of(ours.fault))
    make_prices.price_list()
    assert "Paid to the client: —" in shown.words
    assert shown.links["Note it what was paid to the client"] == noting(ours.fault)
    client = signed_in(owner)
    for typed, kept in (("150.5", Decimal("150.50")), ("0", Decimal(0)), ("", None)):
        answer = client.post(noting(ours.fault), {"penalty": typed}, follow=True)
        assert answer.status_code == 200
        ours.fault.refresh_from_db()
        assert ours.fault.penalty == kept
        says = "—" if kept is None else f"{kept:.2f} USD"
        assert f"Paid to the client: {says}" in open_page(owner, page_of(ours.fault)).words


def test_less_than_nothing_is_refused_and_what_was_typed_stays(ours: Corner) -> None:
    answer = signed_in(make.user(Role.OWNER)).post(noting(ours.fault), {"penalty": "-0.01"})
    assert answer.status_code == 422
    assert "-0.01" in answer.content.decode()
    with pytest.raises(UnableToBill, match="not below 0"):
        note_penalty(fault=ours.fault, penalty=Decimal("-0.01"))
    ours.fault.refresh_from_db()
    assert ours.fault.penalty is None


def test_who_sees_no_prices_reads_it_neither_on_the_page_nor_in_its_history(
    cast: Cast, ours: Corner
) -> None:
    note_penalty(fault=ours.fault, penalty=Decimal("7431.00"))
    owner = make.user(Role.OWNER)
    assert "7431" in open_page(owner, page_of(ours.fault)).html
    assert "7431" not in open_page(cast.technician, page_of(ours.fault)).html
    assert signed_in(cast.technician).get(noting(ours.fault)).status_code == 403

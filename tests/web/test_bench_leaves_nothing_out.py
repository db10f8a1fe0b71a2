"""The bench of pages has a sample for every address, and says which of them are no page."""

import pytest

from sites.kernel.engines.roles import Role
from tests import make
from tests.bench.samples import made_on, urls_of
from tests.web.addresses import every_address
from tests.web.pages import signed_in

pytestmark = pytest.mark.django_db

# What a visit is not answered with a page, and with what instead.
NO_PAGE = {
    "faults:calendar_make": 302,  # takes a form; a visit leads back to it
    "faults:calendar_revoke": 302,
    "faults:due_many": 302,  # takes what was ticked; a visit leads to the list
    "faults:fault_many": 302,
    "faults:job_many": 302,
    "faults:priorities_many": 302,
    "faults:unbilled_many": 302,
    "faults:claim_add": 302,  # a fault has one claim that stands
    "faults:station_many": 302,
    "reports:off_many": 302,
    "sites:stopgap_many": 302,
    "faults:quote_own_answer": 403,  # a client's; the same page as by the private address
    "faults:quote_own_answer_pdf": 403,
    "faults:metrics": 404,  # for a program that brings a token, where the setting has one
    "faults:load_match": 302,  # before its file was read
    "faults:load_to_mend": 302,
    "sites:password_changed": 302,  # but right after a change
    "sites:ticked_act_take_back": 302,  # takes a press; a visit leads to what was done
    "reports:ahead_progress": 204,  # nothing is being worked out
    "reports:lasting_progress": 204,
    "sites:start": 302,  # to the first page of a role
    "sites:sign_in": 302,  # who is signed in already
    "sites:sign_in_code": 302,  # but between the password and the code
}


def test_every_address_that_answers_a_visit_is_measured() -> None:
    owner = make.user(Role.OWNER)
    make.place()  # of one property alone, planning would not ask on which
    made = made_on(make.place(), starter=owner)
    browser = signed_in(owner)
    left_out = {}
    for address in every_address():
        ((_label, url),) = urls_of(address, {}, made)
        if (status := browser.get(url).status_code) not in {200, 405}:
            left_out[address.name] = status
    assert left_out == NO_PAGE

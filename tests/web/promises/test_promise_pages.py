"""Promises on pages: from a fault to a promise with its words, and the list."""

import pytest

from faults.models import Promise
from sites.kernel.engines.roles import Role
from tests import make, make_due
from tests.web.pages import open_page, signed_in

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


def test_from_a_fault_to_a_promise_and_its_words() -> None:
    owner, fault = make.user(Role.OWNER), make.fault(caller="Ann")
    page = open_page(owner, f"/faults/{fault.ref}/")
    assert page.links["Promise a day"] == f"/faults/{fault.ref}/promise/"
    client = signed_in(owner)
    form = client.get(f"/faults/{fault.ref}/promise/").context["form"]
    assert form.initial["said_to"] == "Ann"
    choice = form.fields["offer"].choices[1][0]
    assert choice.endswith("/8")
    url = f"/faults/{fault.ref}/promise/"
    answer = client.post(url, {"offer": choice, "said_to": "Ann"}, follow=True)
    given = Promise.objects.get()
    said = answer.content.decode()
    assert "Hello Ann," in said
    assert "Hola Ann:" in said
    assert f"{given.by_on.isoformat()}/8" == choice
    text = client.get("/promises/").content.decode()
    assert "not yet due" in text
    assert "Ann" in text


def test_a_client_sees_no_promises_and_a_technician_gives_none() -> None:
    fault = make.fault()
    given = make_due.promise(fault)
    client = signed_in(make.user(Role.CLIENT, client=fault.property.client))
    for url in ("/promises/", f"/promises/{given.ref}/", f"/faults/{fault.ref}/promise/"):
        assert client.get(url).status_code in (403, 404)
    technician = signed_in(make.user(Role.TECHNICIAN))
    assert technician.get(f"/promises/{given.ref}/").status_code == 200
    assert technician.get(f"/faults/{fault.ref}/promise/").status_code == 403

"""Who gets in with a token, how far it reaches, and how a program is refused."""

from datetime import timedelta

import pytest
import time_machine
from django.test import Client
from django.utils import timezone

from sites.kernel.access import properties_for
from sites.kernel.engines.roles import Role
from sites.kernel.views.limits import reset_limits
from sites.models import Grant
from sites.people.services.limiting import UnableToReachSoFar
from sites.people.services.people import end_access
from sites.people.services.tokens import (
    TokenFacts,
    UnableToMakeToken,
    make_token,
    revoke_token,
    token_by,
    tokens_for,
)
from tests import make
from tests.make_tokens import ask, newest, send, token

pytestmark = pytest.mark.django_db


def refs(secret: str) -> set[str]:
    return {row["ref"] for row in ask(secret, "/register/properties").json()["items"]}


def test_a_token_reads_what_its_user_sees() -> None:
    ours, theirs = make.place(), make.place()
    assert refs(token(make.user(Role.OWNER))) == {ours.ref, theirs.ref}
    assert refs(token(make.user(Role.CLIENT, client=ours.client))) == {ours.ref}


def test_without_a_token_nobody_gets_in_and_a_session_is_none() -> None:
    owner = make.user(Role.OWNER)
    browser = Client()
    browser.force_login(owner, backend="django.contrib.auth.backends.ModelBackend")
    for headers in ({}, {"Authorization": "Bearer nothing"}, {"Authorization": "Basic b2w6b2w="}):
        answer = browser.get("/api/v1/me", headers=headers)
        assert answer.status_code == 401
        assert answer.headers["WWW-Authenticate"] == "Bearer"
        assert answer.headers["Content-Type"] == "application/problem+json"
        assert answer.json()["status"] == 401


def test_a_token_holds_until_the_moment_at_which_it_expires() -> None:
    secret = token(make.user(Role.OWNER), days=30)
    end = newest().expires_at
    assert token_by(secret, at=end - timedelta(microseconds=1)) is not None
    assert token_by(secret, at=end) is None
    with time_machine.travel(end, tick=False):
        assert ask(secret, "/me").status_code == 401


def test_a_revoked_token_and_one_of_a_person_whose_access_ended_open_nothing() -> None:
    owner, other = make.user(Role.OWNER), make.user(Role.DISPATCHER)
    first = token(owner)
    revoke_token(token=newest(), at=timezone.now())
    second = token(other)
    assert ask(first, "/me").status_code == 401
    assert ask(second, "/me").status_code == 200
    end_access(by=owner, user=other)
    assert ask(second, "/me").status_code == 401


def test_only_a_hash_of_the_secret_is_kept() -> None:
    secret = token(make.user(Role.OWNER))
    row = newest()
    assert secret not in {str(value) for value in vars(row).values()}
    assert len(row.secret_hash) == 64


def test_the_last_use_is_noted_once_an_hour_at_most() -> None:
    at = timezone.now()
    secret = token(make.user(Role.OWNER), at=at)
    token_by(secret, at=at + timedelta(minutes=1))
    token_by(secret, at=at + timedelta(minutes=60))
    assert newest().last_used_at == at + timedelta(minutes=1)
    token_by(secret, at=at + timedelta(minutes=62))
    assert newest().last_used_at == at + timedelta(minutes=62)


def test_a_limit_narrows_whatever_role_its_user_has() -> None:
    client = make.client()
    mine, also, other = make.place(client=client), make.place(client=client), make.place()
    owner = make.user(Role.OWNER)
    assert refs(token(owner, client=client)) == {mine.ref, also.ref}
    assert refs(token(owner, place=mine)) == {mine.ref}
    of_client = make.user(Role.CLIENT, client=client)
    assert refs(token(of_client, place=also)) == {also.ref}
    assert other.ref in refs(token(owner))


def test_a_limit_gives_nothing_that_its_user_lost() -> None:
    place = make.place()
    person = make.user(Role.WATER_MANAGER)
    secret = token(person, place=place)
    assert refs(secret) == {place.ref}
    Grant.objects.filter(user=person).delete()
    assert ask(secret, "/register/properties").status_code == 403
    elsewhere = make.place()
    Grant.objects.create(user=person, role=Role.CLIENT.value, property=elsewhere)
    assert ask(secret, "/register/properties").status_code == 403


def test_nobody_makes_a_token_for_more_than_they_see() -> None:
    mine, other = make.place(), make.place()
    person = make.user(Role.CLIENT, client=mine.client)
    for limit in ({"place": other}, {"client": other.client}):
        with pytest.raises(UnableToReachSoFar):
            token(person, **limit)
    with pytest.raises(UnableToReachSoFar):
        token(make.user(Role.OWNER), place=mine, client=mine.client)


@pytest.mark.parametrize(("days", "holds"), [(0, False), (1, True), (366, True), (367, False)])
def test_a_token_holds_for_a_day_to_a_year(days: int, holds: bool) -> None:
    owner = make.user(Role.OWNER)
    if holds:
        assert token(owner, days=days)
    else:
        with pytest.raises(UnableToMakeToken):
            token(owner, days=days)


def test_twenty_tokens_are_enough_and_a_revoked_one_makes_room() -> None:
    owner = make.user(Role.OWNER)
    for _each in range(20):
        token(owner)
    with pytest.raises(UnableToMakeToken):
        token(owner)
    revoke_token(token=newest(), at=timezone.now())
    assert token(owner)


def test_a_token_needs_a_name_and_something_to_do() -> None:
    owner, at = make.user(Role.OWNER), timezone.now()
    for facts in (TokenFacts(" ", ["read"], 30), TokenFacts("central", ["fly"], 30)):
        with pytest.raises(UnableToMakeToken):
            make_token(user=owner, token=facts, at=at)


def test_a_scope_opens_its_own_operations_alone() -> None:
    owner, station = make.user(Role.OWNER), make.station()
    reading, reporting = token(owner, scopes=("read",)), token(owner, scopes=("report",))
    body = {"stations": [station.ref]}
    assert ask(reading, "/me").status_code == 200
    assert ask(reporting, "/me").status_code == 403
    refused = send(reading, "/faults", body)
    assert refused.status_code == 403
    assert "read what may be seen" in refused.json()["detail"]
    assert send(reporting, "/faults", body).status_code == 201


def test_a_role_that_may_not_is_refused_whatever_its_token_says() -> None:
    place = make.place()
    secret = token(make.user(Role.CLIENT, client=place.client))
    for path in ("/jobs", "/due", "/hotspots", "/register/contacts"):
        assert ask(secret, path).status_code == 403, path


def test_an_answer_is_not_sent_again_to_who_has_it() -> None:
    secret = token(make.user(Role.OWNER))
    place = make.place(name="Elm Court")
    first = ask(secret, "/register/properties")
    tag = first.headers["ETag"]
    again = ask(secret, "/register/properties", **{"If-None-Match": f'"x", W/{tag}'})
    assert (again.status_code, again.content) == (304, b"")
    place.name = "Elm Yard"
    place.save()
    changed = ask(secret, "/register/properties", **{"If-None-Match": tag})
    assert changed.status_code == 200
    assert changed.headers["ETag"] != tag


def test_too_many_requests_of_one_token_wait_and_another_goes_on() -> None:
    reset_limits()
    first, second = token(make.user(Role.OWNER)), token(make.user(Role.OWNER))
    # Within one minute, however long a slow machine takes over them.
    with time_machine.travel(make.NOW, tick=False):
        answers = [ask(first, "/me").status_code for _each in range(600)]
        assert set(answers) == {200}
        late = ask(first, "/me")
        assert late.status_code == 429
        assert int(late.headers["Retry-After"]) == 60
        assert ask(second, "/me").status_code == 200
    reset_limits()


def test_an_error_names_the_field_and_nothing_else_of_the_house() -> None:
    secret = token(make.user(Role.OWNER))
    answer = ask(secret, "/register/stations", {"limit": "501"})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["field"].endswith("limit")
    answer = ask(secret, "/register/stations", {"cursor": "abc"})
    assert (answer.status_code, answer.json()["errors"][0]["field"]) == (422, "cursor")
    gone = ask(secret, "/faults/2222222222")
    assert gone.status_code == 404
    assert gone.headers["Content-Type"] == "application/problem+json"


def test_refusals_speak_the_language_of_the_user() -> None:
    owner = make.user(Role.OWNER, language="es")
    answer = ask(token(owner), "/register/stations", {"cursor": "abc"})
    assert answer.json()["title"] == "No se cambió nada"


def test_an_owner_of_everything_sees_and_ends_the_tokens_of_others() -> None:
    owner, other = make.user(Role.OWNER), make.user(Role.DISPATCHER)
    token(other)
    assert set(tokens_for(owner)) == {newest()}
    assert set(tokens_for(make.user(Role.DISPATCHER))) == set()


def test_a_token_of_one_client_leaves_its_user_otherwise_alone() -> None:
    owner = make.user(Role.OWNER)
    client = make.place().client
    make.place()
    token_by(token(owner, client=client), at=timezone.now())
    assert properties_for(type(owner).objects.get(pk=owner.pk)).count() == 2

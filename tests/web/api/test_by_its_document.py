"""The API asked whatever its own document allows, and what it does not: as each role.

schemathesis makes the requests, from the OpenAPI document that is served, and checks each answer
against it: no 500, no status, type or content that the document does not name.
"""

import os
from collections.abc import Iterator
from typing import Any

import pytest
import schemathesis
from django.core.handlers.wsgi import WSGIHandler
from django.core.signals import request_finished, request_started
from django.db import close_old_connections, transaction
from hypothesis import HealthCheck, Phase, settings
from pytest_django import DjangoDbBlocker
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)

from sites.kernel.views.limits import reset_limits
from tests.cast import OURS, THEIRS, make_cast, make_corner
from tests.databases import rows_for_a_module
from tests.make_tokens import token

schema = schemathesis.openapi.from_wsgi("/api/v1/openapi.json", WSGIHandler())
PEOPLE = ("owner", "technician", "tracer", "client_user")
# In `.ci/long api` many more.
EXAMPLES = int(os.environ.get("API_EXAMPLES", "4"))
CANARY = {"tracer": THEIRS, "client_user": THEIRS}
CHECKS = (
    not_a_server_error,
    status_code_conformance,
    content_type_conformance,
    response_schema_conformance,
)


@pytest.fixture(scope="module")
def secrets(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[dict[str, str]]:
    """A token for each of a few roles, made once."""
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)  # as Django's own test client does
    with rows_for_a_module(django_db_blocker):
        cast = make_cast(make_corner(OURS), make_corner(THEIRS))
        yield {name: token(getattr(cast, name)) for name in PEOPLE}
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@pytest.mark.django_db
@schema.parametrize()
@settings(
    max_examples=EXAMPLES,
    deadline=None,
    derandomize=True,
    phases=[Phase.explicit, Phase.generate],
    suppress_health_check=list(HealthCheck),
)
def test_each_operation_keeps_to_its_document(case: Any, secrets: dict[str, str]) -> None:
    for person, secret in secrets.items():
        reset_limits()
        with transaction.atomic():
            sent = {"Authorization": f"Bearer {secret}", "Accept-Encoding": "identity"}
            answer = case.call(headers=sent)
            transaction.set_rollback(True)
        case.validate_response(answer, checks=CHECKS)
        if person in CANARY:
            assert CANARY[person] not in answer.text.lower()

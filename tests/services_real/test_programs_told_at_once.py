"""Processes that send the same message at the same moment on PostgreSQL: it goes out once.

Our own rule, no source. Each waits for the same row until the test lets go of it, so that they
truly meet.
"""

import os
import subprocess
import sys
from uuid import uuid4

import psycopg
import pytest

from tests.databases import create_from_template
from tests.services_real.needs import wait_until
from tests.services_real.worker import CHECKOUT

pytestmark = pytest.mark.service

BEGIN = "import django; django.setup()\n"
MADE = """
from sites.kernel.engines.roles import Role
from tests import make, make_hooks
make_hooks.delivery(make_hooks.receiver(make.user(Role.OWNER)))
"""
SENT = """
from reports.hooks.services import sending
from reports.hooks.services.reaching import Answer
from django.utils import timezone
from reports.models import Delivery, Outcome

def send(address, body, headers):
    print("sent", end=" ")
    return Answer(Outcome.ACCEPTED, 200)

sending.send, sending.unseal = send, lambda sealed, purpose: "a secret"
print(sending.send_one(delivery_id=Delivery.objects.get().pk, at=timezone.now()))
"""
WAITING = """
SELECT count(*) FROM pg_stat_activity
WHERE datname = current_database() AND wait_event_type = 'Lock'
"""


def _started(url: str, script: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", BEGIN + script],
        cwd=CHECKOUT,
        env={**os.environ, "DATABASE_URL": url, "DJANGO_SETTINGS_MODULE": "tests.settings"},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def _said(process: subprocess.Popen[str]) -> str:
    try:
        said, wrong = process.communicate(timeout=60)
    finally:
        process.kill()
    assert process.returncode == 0, wrong[-3000:]
    return said.strip()


def test_of_two_senders_that_meet_one_sends(postgres_url: str) -> None:
    url = create_from_template(postgres_url, f"told_{uuid4().hex[:12]}")
    _said(_started(url, MADE))
    with psycopg.connect(url) as holder, psycopg.connect(url, autocommit=True) as onlooker:
        holder.execute("SELECT 1 FROM reports_delivery FOR UPDATE")
        both = [_started(url, SENT) for _ in range(2)]
        wait_until(
            lambda: onlooker.execute(WAITING).fetchone() == (2,),
            what="two waiting for the message",
            seconds=60,
        )
    assert sorted(_said(each) for each in both) == ["None", "sent accepted"]
    with psycopg.connect(url) as database:
        row = database.execute("SELECT tries, outcome FROM reports_delivery").fetchone()
    assert row == (1, "accepted")

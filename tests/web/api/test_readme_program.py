"""README's program, run as it is printed, against a server that listens."""

import os
import re
import subprocess
import sys
from datetime import date
from pathlib import Path

import pytest
from django.utils import timezone

from sites.kernel.engines.roles import Role
from tests import make
from tests.architecture.source import CHECKOUT
from tests.make_tokens import token


@pytest.mark.django_db(transaction=True)
def test_it_sends_the_list_and_prints_what_differs_and_what_is_off(
    live_server: "object", tmp_path: Path
) -> None:
    (program,) = re.findall(r"```python\n(.+?)```", (CHECKOUT / "README.md").read_text(), re.S)
    assert len(program.splitlines()) <= 30
    clock = make.controller(property=make.place(code="ELM"), name="A")
    for number in (7, 8):
        make.station(controller=clock, number=number)
    off = make.station(controller=clock, number=9)
    make.stopgap(station=off, on=date(2025, 2, 1))
    exported = tmp_path / "central.csv"
    rows = ["ELM,A,7,yes", "ELM,A,8,no", "ELM,A,9,"]
    exported.write_text("property code,controller,station number,enabled\n" + "\n".join(rows))
    said = subprocess.run(
        [sys.executable, "-c", program, str(exported)],
        env={
            "PATH": os.environ["PATH"],
            "REJOIN": str(live_server),
            "REJOIN_TOKEN": token(make.user(Role.OWNER)),
        },
        check=True,
        capture_output=True,
        text=True,
        timeout=60,
    ).stdout.splitlines()
    days = (timezone.localdate() - date(2025, 2, 1)).days
    assert said == ["ELM A 8 off there, on here", f"ELM A 9 {days} days"]

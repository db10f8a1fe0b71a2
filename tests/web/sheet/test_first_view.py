"""What the first view of a sheet waits for: on a weak line each round of asking counts."""

import re
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders

from tests import make_jobs
from tests.cast import Cast, Corner
from tests.web.pages import signed_in

pytestmark = pytest.mark.django_db


def imports_of(name: str) -> set[str]:
    """Return the modules of the sheet that one needs before it runs, with its own name."""
    needed, read = {name}, set[str]()
    while new := needed - read:
        read |= new
        for each in new:
            script = Path(str(finders.find(f"faults/sheet/{each}.js"))).read_text("utf-8")
            needed |= set(re.findall(r'^import .* "\./(\w+)\.js"', script, re.M))
    return needed


def test_all_that_the_first_view_waits_for_is_asked_for_with_the_page(
    cast: Cast, ours: Corner
) -> None:
    job = make_jobs.job(fault=ours.fault)
    scripts = {f"/static/faults/sheet/{name}.js" for name in imports_of("main")}
    assert len(scripts) > 1
    for url in ("/sheets/", f"/jobs/{job.ref}/sheet/"):
        answer = signed_in(cast.technician).get(url)
        styles = re.findall(r'<link rel="stylesheet" href="([^"]+)"', answer.content.decode())
        asked = re.findall(r"<([^>]+)>; rel=preload", answer["Link"])
        assert len(styles) == 2
        assert sorted(asked) == sorted([*styles, *scripts])

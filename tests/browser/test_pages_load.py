"""Pages load in a real browser, with the compressed and hashed static files of production."""

import pytest
from django.contrib.staticfiles.storage import staticfiles_storage
from django.test import Client
from django.urls import reverse
from playwright.sync_api import Page

from sites.kernel.engines.roles import Role
from tests import make
from tests.cast import OURS, make_corner
from tests.services_real.chromium import sign_in

pytestmark = pytest.mark.service


def test_the_sign_in_page_gets_all_its_files_by_hashed_name(page: Page, site_url: str) -> None:
    asked, failed, said = [], [], []
    page.on("response", lambda each: asked.append((each.status, each.url)))
    page.on("requestfailed", lambda each: failed.append(each.url))
    page.on("console", lambda each: said.append(each.text) if each.type == "error" else None)
    page.goto(site_url + reverse("sites:sign_in"))
    assert page.locator("form").count() >= 1
    assert failed == []
    assert [each for each in asked if each[0] >= 400] == []
    assert said == []
    assert any("/static/" in url for _, url in asked)


def test_a_signed_in_user_sees_a_page_of_their_own(page: Page, site_url: str) -> None:
    make_corner(OURS)
    owner = make.user(Role.OWNER)
    sign_in(page.context, owner, site_url)
    page.goto(site_url + reverse("sites:properties"))
    page.get_by_text(f"{OURS}-park").first.wait_for()
    assert page.url.endswith(reverse("sites:properties"))


def test_only_one_file_of_plotlys_package_is_collected(collected_static: None) -> None:
    _, files = staticfiles_storage.listdir("plotly")  # type: ignore[no-untyped-call]
    originals = {name for name in files if name.count(".") == 2 and name.endswith(".js")}
    assert originals == {"plotly.min.js"}


@pytest.mark.django_db
@pytest.mark.parametrize("name", ["plotly/plotly.min.js", "django_htmx/htmx-2.min.js"])
def test_scripts_come_hashed_compressed_and_cached_for_ever(
    name: str, collected_static: None
) -> None:
    url = staticfiles_storage.url(name)
    response = Client().get(url, headers={"Accept-Encoding": "gzip"})
    size = len(b"".join(response.streaming_content))  # type: ignore[arg-type]
    assert response.headers["Content-Encoding"] == "gzip"
    assert "immutable" in response.headers["Cache-Control"]
    assert url.split("/")[-1] != name.split("/")[-1]
    assert size < 0.45 * staticfiles_storage.size(name)

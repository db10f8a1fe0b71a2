"""From every page to every other: the head, the bar of a phone, the list of all pages."""

import pytest
from django.test import Client
from django.urls import reverse

from sites.kernel.engines.roles import Role
from sites.kernel.services.pages import PAGES, PAGES_OF_PROPERTY
from sites.kernel.services.wayfinding import Ways, address_of, all_pages, pages_at, pages_for
from sites.models import User
from tests import make
from tests.cast import Cast, Corner
from tests.web.addresses import every_address
from tests.web.fern_row import FernRow
from tests.web.pages import open_page, signed_in

# From the name at the head, which leads to one's own settings.
YOURS = {
    "/account/second-factor/",
    "/account/passkeys/",
    "/account/sign-ins/",
    "/account/",
    "/account/reminders/",
    "/account/tokens/",
    "/account/receivers/",
    "/programs/",
}
pytestmark = pytest.mark.django_db

# What every page leads to by itself (the search with its list of all pages), and what belongs to
# signing in.
NEED_NO_PLACE = {
    "reports:search",
    "reports:search_commands",
    "sites:sign_in",
    "sites:password_reset",
    "sites:password_reset_sent",
    # For jobs, and for lines, that were ticked in their list.
    "faults:sheets_print",
    "faults:batch_give",
    # Whole answers, but none to read: files for machines.
    "faults:healthz",
    "faults:sheet_manifest",
    "faults:sheet_worker",
}
OURS_ONLY = ("owner", "water_manager", "dispatcher", "technician", "tracer")
FIRST = {
    "owner": "/hotspots/",
    "water_manager": "/",
    "dispatcher": "/moves/",
    "technician": "/sheets/",
    "tracer": "/sheets/",
    "client_user": "/mine/",
    "stranger": "/account/",
}


def nav(user: User, url: str, kind: str) -> dict[str, tuple[str, str | None]]:
    """Return the links of one navigation of a page: words, address, and what is current."""
    found = [each for each in open_page(user, url).tree.find("nav") if kind in each.classes]
    links = found[0].find("a") if found else []
    return {a.words: (a.attributes["href"], a.attributes.get("aria-current")) for a in links}


def test_every_page_without_a_thing_is_declared(cast: Cast) -> None:
    browser = signed_in(cast.owner)
    declared = {page.name for page in PAGES}
    lost = []
    for address in every_address():
        if address.is_about_one_thing or address.name in declared | NEED_NO_PLACE:
            continue
        answer = browser.get(reverse(address.name))
        is_page = answer.headers.get("Content-Type", "").startswith("text/html")
        if answer.status_code == 200 and is_page and "attachment" not in str(answer.headers):
            lost.append(address.name)
    assert lost == []


@pytest.mark.parametrize("person", ["owner", "dispatcher", "technician", "tracer", "client_user"])
def test_what_is_listed_opens_and_what_is_not_is_closed(cast: Cast, person: str) -> None:
    user = getattr(cast, person)
    browser = signed_in(user)
    listed = {page.name for page in pages_for(user)}
    status = {page.name: browser.get(address_of(page.name)).status_code for page in PAGES}
    assert {name for name in listed if status[name] != 200} <= {"reports:hotspot_cause"}
    # Each has a start of its own, and is led from the other's.
    starts = {"reports:home", "reports:mine"}
    assert {n for n, s in status.items() if s == 200} - listed <= starts


def test_a_page_of_a_property_is_offered_to_those_who_may_open_it(cast: Cast, ours: Corner) -> None:
    place = ours.property
    for user in (cast.owner, cast.technician, cast.client_user):
        browser = signed_in(user)
        offered = {page.name for page in pages_at(user, place)}
        for page in PAGES_OF_PROPERTY:
            status = browser.get(reverse(page.name, args=[place.ref])).status_code
            assert (status == 200) is (page.name in offered), (user, page.name, status)
    assert pages_at(cast.outsider, place) == []


@pytest.mark.parametrize("person", FIRST)
def test_the_role_decides_where_one_starts(cast: Cast, person: str) -> None:
    user = getattr(cast, person)
    browser = signed_in(user)
    assert browser.get("/start/").headers["Location"] == FIRST[person]
    assert Ways(user, "/").first == FIRST[person]


def test_signing_in_by_the_bare_address_leads_there(cast: Cast) -> None:
    cast.dispatcher.set_password("ein-langes-wort-7")
    cast.dispatcher.save()
    browser = Client()
    given = {"username": "dora", "password": "ein-langes-wort-7"}
    assert browser.post("/account/sign-in/?next=/", given).headers["Location"] == "/start/"
    browser.logout()
    answer = browser.post("/account/sign-in/?next=/due/", given)
    assert answer.headers["Location"] == "/due/"


def test_an_empty_register_starts_with_loading() -> None:
    owner, client = make.user(Role.OWNER), make.user(Role.CLIENT, client=make.client())
    assert signed_in(owner).get("/start/").headers["Location"] == "/"
    assert signed_in(client).get("/start/").headers["Location"] == "/mine/"
    make.station()
    assert signed_in(owner).get("/start/").headers["Location"] == "/hotspots/"


@pytest.mark.parametrize("person", OURS_ONLY)
def test_the_head_holds_six_at_most_and_each_page_is_a_group_away(cast: Cast, person: str) -> None:
    user = getattr(cast, person)
    head = Ways(user, "/account/").head
    assert len(head) <= 6
    reached = {link.url for item in head for link in [item, *Ways(user, item.url).beside]}
    opened = [page for page in pages_for(user) if not page.is_verb]
    names = {page.name for page in opened}
    # A page within another is one step further.
    pages = {address_of(page.name) for page in opened if page.within not in names}
    assert pages - reached <= YOURS


def test_the_head_says_where_one_is(fern: FernRow, manager: User) -> None:
    assert nav(manager, "/jobs/", "main-nav")["Work"][1] == "true"
    assert nav(manager, "/", "main-nav")["Off central"] == ("/", "page")
    assert nav(manager, "/moves/board/", "beside")["Crews and days"] == ("/moves/board/", "page")
    assert nav(manager, "/moves/board/", "beside")["Moves"] == ("/moves/", None)
    station = f"/stations/{fern['A:1'].ref}/"
    assert nav(manager, station, "main-nav")["Properties"][1] == "true"
    assert nav(manager, station, "beside")["Stations"] == ("/stations/", "true")


def test_a_work_of_ones_own_stands_first_in_its_group(cast: Cast) -> None:
    works = {
        name: next(link.url for link in Ways(getattr(cast, name), "/").head if link.title == "Work")
        for name in ("dispatcher", "technician")
    }
    assert works == {"dispatcher": "/moves/", "technician": "/sheets/"}


@pytest.mark.parametrize("person", [*OURS_ONLY, "client_user"])
def test_a_phone_has_a_bar_of_four(cast: Cast, person: str) -> None:
    bar = nav(getattr(cast, person), "/account/", "foot-bar")
    assert len(bar) == 4
    assert next(iter(bar.values()))[0] == FIRST[person]
    assert list(bar.values())[3][0] == "/search/"


def test_a_client_is_shown_plain_words(cast: Cast) -> None:
    assert list(nav(cast.client_user, "/mine/", "main-nav")) == [
        "Your properties",
        "Faults",
        "Report a fault",
    ]
    assert nav(cast.client_user, "/mine/", "beside") == {}


def test_the_list_of_all_pages_leads_to_each(cast: Cast) -> None:
    sheet = open_page(cast.owner, "/search/")
    urls = {a.attributes["href"] for a in sheet.tree.find("a")}
    assert {address_of(page.name) for page in pages_for(cast.owner)} <= urls
    assert "Crews" in {link.title for group in all_pages(cast.owner) for link in group.pages}


def test_nothing_is_left_at_the_foot(cast: Cast) -> None:
    (foot,) = open_page(cast.owner, "/").tree.find("footer")
    assert [a.attributes["href"] for a in foot.find("a")] == ["/search/"]


def test_spanish_words_stand_there_too(cast: Cast) -> None:
    cast.owner.language = "es"
    cast.owner.save()
    assert "Fuera del control central" in nav(cast.owner, "/", "main-nav")


def test_pages_within_another_stand_in_its_place_in_the_line_below_the_head(cast: Cast) -> None:
    within = {page.name: page.within for page in PAGES if page.within}
    parents = {
        *("faults:board", "faults:rounds", "faults:unbilled"),
        *("faults:load", "sites:people"),
    }
    assert set(within.values()) == parents
    for name, parent in within.items():
        line = nav(cast.owner, address_of(name), "beside")
        current = [url for url, is_current in line.values() if is_current]
        assert current == [address_of(parent)]
        assert address_of(name) not in {url for url, _is_current in line.values()}
        # The page that stands for it leads to it.
        assert address_of(name) in open_page(cast.owner, address_of(parent)).links.values()

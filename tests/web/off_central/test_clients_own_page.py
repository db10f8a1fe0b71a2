"""The client's own page speaks plain words about its own properties, and names no rate."""

from datetime import date

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from faults.cases.engines.stages import Stage
from faults.models import AnswerKind, Fault, Quote, StageMove
from faults.quotes.services.answering import Said, answer_quote
from faults.quotes.services.shown import shown
from sites.kernel.engines.roles import Role
from sites.stopgaps.services.spells import rebuild_spells
from tests import make, make_prices, make_quotes
from tests.cast import Cast, Corner
from tests.web.pages import open_page

pytestmark = pytest.mark.django_db


def test_is_where_home_leads_a_client(client: Client, cast: Cast) -> None:
    client.force_login(cast.client_user)
    assert client.get(reverse("reports:home")).headers["Location"] == reverse("reports:mine")


def test_is_not_where_home_leads_our_own_people(client: Client, cast: Cast) -> None:
    client.force_login(cast.water_manager)
    assert client.get(reverse("reports:home")).status_code == 200


def test_says_why_and_what_happens_next(client: Client, cast: Cast, ours: Corner) -> None:
    client.force_login(cast.client_user)
    page = client.get(reverse("reports:mine")).content.decode()
    assert "1 of 2 valves run from the central system. One does not:" in page
    assert "A wire in the ground is broken" in page
    assert "We know about it" in page


def test_says_when_all_is_well(client: Client) -> None:
    where = make.place()
    make.station(controller=make.controller(property=where))
    client.force_login(make.user(Role.CLIENT, client=where.client))
    page = client.get(reverse("reports:mine")).content.decode()
    assert "Its one valve runs from the central system." in page


def test_says_when_nobody_is_at_work(client: Client) -> None:
    station = make.station()
    make.stopgap(station=station, on=date(2025, 2, 1))
    rebuild_spells([station.pk])
    where = station.controller.property
    client.force_login(make.user(Role.CLIENT, client=where.client))
    assert "Nobody is at work on it yet" in client.get(reverse("reports:mine")).content.decode()


def test_never_holds_a_word_of_another_client(client: Client, cast: Cast, theirs: Corner) -> None:
    client.force_login(cast.client_user)
    assert "wombat" not in client.get(reverse("reports:mine")).content.decode()


@pytest.fixture
def quoted(cast: Cast, ours: Corner) -> Quote:
    make_prices.price_list()
    ours.fault.stations.update(stage=Stage.FOUND.value)
    make.break_found(fault=ours.fault, depth_in=18.0)
    quote = make_quotes.quote(ours.fault, by=cast.dispatcher)
    make_quotes.secret_of(quote, by=cast.dispatcher)
    return quote


@pytest.mark.usefixtures("on_the_day")
def test_a_quote_that_was_sent_is_said_to_wait_until_it_is_answered(
    cast: Cast, quoted: Quote
) -> None:
    said = open_page(cast.client_user, reverse("reports:mine")).panel("waiting")
    assert "the link to the quote was sent to Ann Field on 2025-06-15" in said
    assert "Read it and answer" in said
    assert "It can be answered until 2025-07-15." in said
    for each in shown(quoted, today=make.TODAY).options:
        assert f"{each.words.capitalize()}: {each.total.gross:,.2f} USD" in said
    # Whoever is no client reads no prices here.
    assert "Ann Field" not in open_page(cast.technician, reverse("reports:mine")).words
    said_no = Said(AnswerKind.NO, "Ann Field")
    answer_quote(quote=quoted, said=said_no, by=cast.dispatcher, at=timezone.now())
    page = open_page(cast.client_user, reverse("reports:mine"))
    assert "waiting" not in page.panels
    assert "no, by Ann Field on 2025-06-15" in page.panel("answered")
    assert "answered" not in open_page(cast.technician, reverse("reports:mine")).panels
    Fault.objects.update(stage=Stage.RETURNED.value)
    assert "answered" not in open_page(cast.client_user, reverse("reports:mine")).panels


@pytest.mark.usefixtures("on_the_day")
def test_a_quote_that_cannot_be_answered_does_not_wait(cast: Cast, quoted: Quote) -> None:
    # Another depth is known by now, so it has to be made again.
    make.break_found(fault=quoted.fault, depth_in=30.0, running_number=2)
    assert "Ann Field" not in open_page(cast.client_user, reverse("reports:mine")).words


@pytest.mark.usefixtures("on_the_day")
def test_what_waits_for_another_client_is_not_shown(
    cast: Cast, quoted: Quote, theirs: Corner
) -> None:
    stranger = make.user(Role.CLIENT, client=theirs.fault.property.client)
    assert "Ann Field" not in open_page(stranger, reverse("reports:mine")).words


@pytest.mark.parametrize("page", ["property", "station", "fault"])
def test_a_client_does_not_read_our_move_as_its_own(cast: Cast, ours: Corner, page: str) -> None:
    ours.fault.stations.update(stage=Stage.REPORTED.value)
    StageMove.objects.filter(fault_station__fault=ours.fault).update(why="loaded from breaks.csv")
    station = ours.fault.stations.get().station
    rebuild_spells([station.pk])
    address = {
        "property": reverse("reports:property", args=[ours.fault.property.ref]),
        "station": reverse("reports:station", args=[station.ref]),
        "fault": reverse("faults:fault", args=[ours.fault.ref]),
    }[page]
    theirs, our_own = (open_page(one, address).words for one in (cast.client_user, cast.dispatcher))
    assert "the contractor" in theirs
    assert "whose move: ours" not in theirs
    assert "the contractor" not in our_own
    assert "breaks.csv" not in theirs

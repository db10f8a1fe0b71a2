"""What goes to a client besides the sums: mail and plan; and the photo that comes back."""

from io import BytesIO
from urllib.parse import urlsplit

import pytest
from django.core import mail
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image

from faults.cases.engines.stages import Stage
from faults.due.services.outbox import send_waiting
from faults.models import FaultPhoto, FollowUpKind, OutgoingMail, Quote, QuoteAnswer
from sites.kernel.views.limits import reset_limits
from sites.models import Contact, Point
from tests import make, make_due, make_prices, make_quotes, make_searches
from tests.cast import Cast
from tests.make_searches import Way
from tests.services.issued.reading import squeezed, words_of
from tests.web.pages import open_page, send

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]


@pytest.fixture
def way(db: None) -> Way:
    """A wire along three legs; the break is 50 ft from the far end of the second, 200 ft one."""
    make_prices.price_list()
    made = make_searches.way(150.0, 200.0, 120.0)
    made.fault.stations.update(stage=Stage.FOUND.value)
    leg = made.legs[1]
    make.break_found(
        fault=made.fault, leg=leg, feet_along=50.0, from_point=leg.to_point, depth_in=18.0
    )
    return made


def quoted(way: Way, cast: Cast, *, shows_plan: bool) -> Quote:
    return make_quotes.quote(way.fault, by=cast.owner, kept={"shows_plan": shows_plan})


def address_of(quote: Quote, cast: Cast) -> str:
    secret = make_quotes.secret_of(quote, by=cast.owner)
    return reverse("faults:quote_answer", args=[secret])


def picture() -> SimpleUploadedFile:
    content = BytesIO()
    Image.new("RGB", (40, 30), "green").save(content, "JPEG")
    return SimpleUploadedFile("dry.jpg", content.getvalue(), "image/jpeg")


def test_the_client_sees_the_way_of_the_wire_and_the_break_without_names(
    way: Way, cast: Cast
) -> None:
    address = address_of(quoted(way, cast, shows_plan=True), cast)
    sheet = open_page(None, address)
    drawn = sheet.panel("way")
    assert "Cross: the break." in drawn
    assert "Plan of the wire: 3 stretches, 1 of them with a break." in sheet.html
    for point in Point.objects.filter(property=way.fault.property):
        assert point.name not in sheet.html
    paper = words_of(Client().get(address + "pdf/?lang=en").content)
    assert squeezed("The way of this wire.") in squeezed(paper)


def test_it_is_shown_where_the_office_chose_so_and_its_legs_are_known(way: Way, cast: Cast) -> None:
    hidden = open_page(None, address_of(quoted(way, cast, shows_plan=False), cast))
    assert "<svg" not in hidden.html
    station = make.station()
    fault = make.fault(station, stage=Stage.FOUND.value)
    make.break_found(fault=fault, depth_in=18.0)
    without = make_quotes.quote(fault, by=cast.owner, kept={"shows_plan": True})
    assert "<svg" not in open_page(None, address_of(without, cast)).html


def cross_of(html: str) -> list[float]:
    """The middle of the cross, from its first two corners."""
    path = html.partition('stroke="#8c1c13" stroke-width="3"')[0].rpartition('d="')[2]
    first, second = path.lstrip("M").split("M")[0].split('"')[0].split("L")
    (a, b), (c, d) = ([float(each) for each in pair.split()] for pair in (first, second))
    return [(a + c) / 2, (b + d) / 2]


@pytest.mark.parametrize(("feet", "from_far_end"), [(50.0, True), (150.0, False)])
def test_the_cross_stands_as_far_along_its_leg_as_was_measured(
    way: Way, cast: Cast, feet: float, from_far_end: bool
) -> None:
    found = way.fault.breaks.get()
    leg = way.legs[1]
    found.feet_along, found.from_point = feet, leg.to_point if from_far_end else None
    found.save()
    html = open_page(None, address_of(quoted(way, cast, shows_plan=True), cast)).html
    x, _y = cross_of(html)
    found.feet_along, found.from_point = 0.0, None
    found.save()
    html = open_page(None, address_of(quoted(way, cast, shows_plan=True), cast)).html
    start, _y = cross_of(html)
    found.feet_along = 200.0
    found.save()
    html = open_page(None, address_of(quoted(way, cast, shows_plan=True), cast)).html
    end, _y = cross_of(html)
    assert (x - start) / (end - start) == pytest.approx(0.75, abs=0.01)


def test_a_break_whose_feet_are_not_known_is_a_wide_line_without_a_cross(
    way: Way, cast: Cast
) -> None:
    found = way.fault.breaks.get()
    found.feet_along = None
    found.save()
    sheet = open_page(None, address_of(quoted(way, cast, shows_plan=True), cast))
    assert "Wide line: the stretch on which the break is." in sheet.panel("way")
    assert 'stroke="#8c1c13" stroke-width="3"' not in sheet.html


def test_what_does_not_run_either_comes_with_a_photo_for_the_office(way: Way, cast: Cast) -> None:
    quote = quoted(way, cast, shows_plan=False)
    address = address_of(quote, cast)
    answer = {"choice": "question", "name": "Ann Field", "words": "When?"}
    told = send(None, address, **answer, also_down="The lawn is dry", photo=picture())
    assert told.status == 200
    photo = FaultPhoto.objects.get()
    assert photo.caption == "Ann Field: this does not run either: The lawn is dry"
    assert photo.added_by == cast.owner
    fault = open_page(cast.owner, reverse("faults:fault", args=[quote.fault.ref]))
    assert photo.caption in fault.html
    # The client sees what the office chose for the quote, and this is not in it.
    assert "/photos/" not in open_page(None, address).html


@pytest.mark.parametrize(
    ("sent", "words"),
    [
        ({"also_down": ""}, "Say what does not run."),
        ({"also_down": "Dry", "photo": "text"}, "not a picture that can be read"),
        ({"also_down": "Dry", "name": ""}, "Choose the photo again"),
    ],
)
def test_a_photo_that_cannot_be_taken_is_said_and_nothing_typed_is_lost(
    way: Way, cast: Cast, sent: dict[str, str], words: str
) -> None:
    address = address_of(quoted(way, cast, shows_plan=False), cast)
    file = SimpleUploadedFile("a.jpg", b"text") if sent.get("photo") else picture()
    given = {"choice": "no", "name": "Ann", "words": "Too dear", **sent, "photo": file}
    sheet = send(None, address, **given)
    assert sheet.status == 422
    assert words in sheet.html
    assert "Too dear" in sheet.html
    assert not QuoteAnswer.objects.exists()
    assert not FaultPhoto.objects.exists()


def test_the_mail_goes_to_the_approver_in_their_language_and_is_forgotten_here(
    way: Way, cast: Cast
) -> None:
    quote = quoted(way, cast, shows_plan=False)
    Contact.objects.create(
        property=quote.fault.property,
        name="Ana Campo",
        role="approves",
        email="ana@example.org",
        language="es",
    )
    url = reverse("faults:quote_send", args=[quote.ref])
    start = open_page(cast.owner, url)
    (field,) = start.tree.find("input", id="id_mail_to")
    assert field.attributes["value"] == "ana@example.org"
    sheet = send(cast.owner, url, sent_to="Ana Campo", mail_to="ana@example.org", language="es")
    assert "A mail with it goes to ana@example.org." in sheet.words
    send_waiting(at=timezone.now(), go_on=lambda: None)
    (sent,) = mail.outbox
    assert sent.to == ["ana@example.org"]
    assert "encontramos la falla" in sent.subject
    address = next(line for line in sent.body.splitlines() if "/answer/" in line)
    assert address.endswith("?lang=es")
    reset_limits()
    parts = urlsplit(address)
    assert open_page(None, f"{parts.path}?{parts.query}").status == 200
    assert OutgoingMail.objects.get().text == ""


def test_without_an_address_nothing_is_mailed(way: Way, cast: Cast) -> None:
    url = reverse("faults:quote_send", args=[quoted(way, cast, shows_plan=False).ref])
    sheet = send(cast.owner, url, sent_to="Ana", language="en")
    assert "/answer/" in sheet.html
    assert not OutgoingMail.objects.exists()


def test_sent_twice_each_mail_holds_its_own_address_and_the_first_one_ended(
    way: Way, cast: Cast
) -> None:
    url = reverse("faults:quote_send", args=[quoted(way, cast, shows_plan=False).ref])
    for _time in range(2):
        reset_limits()
        send(cast.owner, url, sent_to="Ana", mail_to="ana@example.org", language="en")
    send_waiting(at=timezone.now(), go_on=lambda: None)
    first, second = (
        urlsplit(next(line for line in each.body.splitlines() if "/answer/" in line)).path
        for each in mail.outbox
    )
    reset_limits()
    assert [open_page(None, each).status for each in (first, second)] == [404, 200]


def test_one_opened_form_sent_twice_mails_once_and_its_address_goes_on(
    way: Way, cast: Cast
) -> None:
    quote = quoted(way, cast, shows_plan=False)
    url = reverse("faults:quote_send", args=[quote.ref])
    typed = {"sent_to": "Ana", "mail_to": "ana@example.org", "language": "en"}
    once = open_page(cast.owner, url).value("once")
    first = send(cast.owner, url, once=once, **typed)
    assert "A mail with it goes to ana@example.org." in first.words
    again = send(cast.owner, url, once=once, **typed)
    assert (again.status, "/answer/" in again.html) == (200, False)
    assert "“Sent to Ana.” Nothing was added twice." in " ".join(again.messages)
    send_waiting(at=timezone.now(), go_on=lambda: None)
    (sent,) = mail.outbox
    address = next(line for line in sent.body.splitlines() if "/answer/" in line)
    reset_limits()
    assert open_page(None, urlsplit(address).path).status == 200


def test_a_client_who_does_not_answer_is_sent_it_again_from_what_is_due(
    way: Way, cast: Cast
) -> None:
    quote = quoted(way, cast, shows_plan=False)
    chase = make_due.follow_up(
        property=way.fault.property,
        fault=way.fault,
        kind=FollowUpKind.CHASE_CLIENT,
        cause="asked:1",
    )
    # Asked by telephone: there is no quote to send again.
    assert "Send the quote again" not in open_page(cast.owner, "/due/").words
    address_of(quote, cast)
    chase.state, chase.done_on = "open", None
    chase.save()
    page = open_page(cast.owner, "/due/")
    again = reverse("faults:quote_send", args=[quote.ref])
    assert again in page.links.values()
    # Who may not ask clients is not sent there.
    assert again not in open_page(cast.technician, "/due/").links.values()
    assert send(cast.owner, again, sent_to="Ann", language="es").status == 200
    chase.refresh_from_db()
    assert (chase.state, chase.done_by) == ("done", cast.owner)

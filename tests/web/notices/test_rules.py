"""Pages of notice rules and closed days: what is confirmed, by whom, and what to ask."""

from typing import Any

import pytest
from django.urls import reverse

from faults.models import ClosedDays, NoticeRule
from sites.kernel.engines.roles import Role
from tests import make, make_notices
from tests.cast import Cast, Corner
from tests.web.pages import open_page, send

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("on_the_day")]

RULES = "/notice-rules/"


def rule_fields(**given: Any) -> dict[str, Any]:
    """What the owner fills in for a rule."""
    return {
        "region": "Ohio",
        "source_url": "the centre, by phone",
        "wait_n": "2",
        "wait_unit": "working day",
        "closed_day_starts_next": "on",
        "day_start": "07:00",
        "day_end": "17:00",
        "life_n": "10",
        "life_unit": "calendar day",
        "life_from": "start",
        "max_ahead_unit": "calendar day",
        "renew_before_n": "0",
        "needs_positive_response": "on",
        **given,
    }


def test_the_list_says_plainly_what_is_confirmed_and_by_whom(cast: Cast, ours: Corner) -> None:
    ours.property.notice_region = "Nowhere"
    ours.property.save()
    make_notices.rule(region="Ohio", confirmed_by=cast.owner)
    make_notices.rule(region="Utah", confirmed_on=None, source_url="a text")
    page = open_page(cast.technician, RULES)
    said = {row[0]: row[1:] for row in page.rows()}
    assert said["Ohio"][1] == "by olive, 2025-01-02"
    assert said["Utah"] == [
        "wait 2 working days; a ticket holds 10 calendar days from the start of work",
        "not confirmed",
        "a text",
    ]
    assert "no rule is kept for them: Nowhere." in page.words
    assert "Default for planning." in page.words
    assert "Add a rule" not in page.links
    assert "Add a rule" in open_page(cast.owner, RULES).links


def test_a_rule_starts_from_a_text_and_stays_unconfirmed(cast: Cast) -> None:
    page = open_page(cast.owner, "/notice-rules/add/?from=nebraska")
    assert (page.value("region"), page.value("wait_n"), page.value("life_n")) == (
        "Nebraska",
        "",
        "17",
    )
    assert "Not confirmed." in page.panel("starts")
    sheet = send(cast.owner, "/notice-rules/add/?from=nebraska", **rule_fields(wait_n=""))
    assert sheet.status == 422
    sheet = send(cast.owner, "/notice-rules/add/", **rule_fields())
    assert sheet.messages == ["Kept. It lets no dig go until it is confirmed."]
    assert NoticeRule.objects.get().confirmed_on is None


def test_the_owner_confirms_and_a_changed_number_takes_it_back(cast: Cast) -> None:
    rule = make_notices.rule(region="Ohio", confirmed_on=None)
    confirm = reverse("faults:notice_rule_confirm", args=[rule.ref])
    assert send(cast.owner, confirm, on="2025-06-15").status == 422
    sheet = send(cast.owner, confirm, on="2025-06-15", is_asked="on")
    assert "Confirmed by olive on 2025-06-15" in sheet.words
    fields = rule_fields(wait_n="3", closed_days=str(rule.closed_days_id))
    sheet = send(cast.owner, reverse("faults:notice_rule_change", args=[rule.ref]), **fields)
    assert sheet.messages == ["Kept. A number changed: it must be confirmed again."]
    assert "Not confirmed" in sheet.words
    send(cast.owner, confirm, on="2025-06-15", is_asked="on")
    sheet = send(cast.owner, confirm, why="they changed it")
    assert "until it is confirmed again" in sheet.words


def test_an_owner_of_one_client_may_not_set_rules_for_all(ours: Corner) -> None:
    limited = make.user(Role.OWNER, client=ours.property.client)
    rule = make_notices.rule(region="Ohio")
    assert open_page(limited, RULES).status == 200
    assert open_page(limited, "/notice-rules/add/").status == 403
    assert open_page(limited, reverse("faults:notice_rule_change", args=[rule.ref])).status == 403
    assert open_page(limited, "/closed-days/add/").status == 403


def test_a_set_is_made_ticked_and_grows(cast: Cast) -> None:
    fields = {"name": "Cal", "country": "US", "subdivision": "ca", "weekend": ["5", "6"]}
    bad = send(cast.owner, "/closed-days/add/", **fields, years="next")
    assert (bad.status, bad.errors) == (422, ["Write years such as 2026, 2027."])
    sheet = send(cast.owner, "/closed-days/add/", **fields, years="2026")
    assert sheet.heading == "Closed days of Cal"
    kept = ClosedDays.objects.get()
    ticks = reverse("faults:closed_days_ticks", args=[kept.ref])
    friday = kept.days.get(on="2026-11-27")
    sheet = send(cast.owner, ticks, closed_2026=[str(friday.pk)])
    said = {row[0]: row[2] for row in sheet.rows()}
    assert (said["2026-11-27"], said["2026-11-26"]) == ("closed", "works")
    url = reverse("faults:closed_days_day", args=[kept.ref])
    sheet = send(cast.owner, url, on="2026-05-04", name="picnic")
    assert ["2026-05-04", "picnic", "closed"] in sheet.rows()
    sheet = send(cast.owner, reverse("faults:closed_days_years", args=[kept.ref]), years="2027")
    assert "days added" in sheet.messages[0]
    url = reverse("faults:closed_days_change", args=[kept.ref])
    sheet = send(cast.owner, url, name="California", weekend=["6"])
    assert "Closed in every week: Sunday." in sheet.words
    assert (
        "Tick the closed days"
        not in open_page(cast.technician, reverse("faults:closed_days", args=[kept.ref])).links
    )

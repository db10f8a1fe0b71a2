"""A few rules to start from, as they were read in public texts: to be checked, never the law.

Only what the text states is filled in; what it does not state stays for the user to ask.
Each was read in 2026 and none of them is confirmed by anyone.
"""

from dataclasses import dataclass, field
from datetime import date

from faults.models import LifeFrom, WaitUnit

READ_ON = date(2026, 11, 25)
WORKING, HOUR, CALENDAR = (
    WaitUnit.WORKING_DAY.value,
    WaitUnit.HOUR.value,
    WaitUnit.CALENDAR_DAY.value,
)


@dataclass(frozen=True)
class Start:
    """What one text says of one region; `source` is where it stood."""

    slug: str
    region: str
    source: str
    values: dict[str, object] = field(default_factory=dict)
    note: str = ""

    def initial(self) -> dict[str, object]:
        """Return what the form starts with."""
        return {
            "region": self.region,
            "source_url": self.source,
            "source_date": READ_ON,
            "text_note": self.note,
            **self.values,
        }


STARTS = (
    Start(
        "alabama",
        "Alabama",
        "https://al811.com/life-of-ticket",
        {
            "wait_n": 2,
            "wait_unit": WORKING,
            "count_notice_day": False,
            "max_ahead_n": 10,
            "max_ahead_unit": WORKING,
            "life_n": 20,
            "life_unit": WORKING,
            "life_from": LifeFrom.START.value,
            "renew_before_n": 2,
        },
        "A working day is 24 hours from the start of the next working day, 7:00 to 17:00. "
        "Ask: positive response, tolerance zone.",
    ),
    Start(
        "california",
        "California",
        "https://digalert.org/calaw; days of life and days ahead from a secondary text",
        {
            "wait_n": 2,
            "wait_unit": WORKING,
            "count_notice_day": False,
            "max_ahead_n": 14,
            "max_ahead_unit": CALENDAR,
            "life_n": 28,
            "life_unit": CALENDAR,
            "needs_positive_response": True,
        },
        "All listed operators must have answered. Ask: from which day the 28 days count, "
        "tolerance zone, which state holidays are kept.",
    ),
    Start(
        "texas",
        "Texas",
        "Utilities Code 251.157(a) at lawserver.com; texas811.org/what-to-expect",
        {"wait_n": 48, "wait_unit": HOUR, "saturday_clears_at": "11:59", "tolerance_in": 18},
        "Hours stand still on Saturdays, Sundays and legal holidays. The text states no life of "
        "a ticket: ask.",
    ),
    Start(
        "north-carolina",
        "North Carolina",
        "https://nc811.org/ticket-types",
        {
            "wait_n": 3,
            "wait_unit": WORKING,
            "life_n": 15,
            "life_unit": WORKING,
            "renew_before_n": 3,
        },
        "Full working days; a ticket is updated by its 12th. Ask: tolerance zone, days ahead.",
    ),
    Start(
        "nebraska",
        "Nebraska",
        "https://ne1call.com/ticket-life",
        {
            "life_n": 17,
            "life_unit": CALENDAR,
            "life_from": LifeFrom.START.value,
            "renew_before_n": 3,
        },
        "17 calendar days after the start on the ticket; refreshed by day 14. The text states no "
        "wait: ask.",
    ),
    Start(
        "georgia",
        "Georgia",
        "verylinks.online, a secondary text",
        {"wait_n": 2, "wait_unit": WORKING, "life_n": 21, "life_unit": CALENDAR},
        "Read in a secondary text only. Ask for all of it.",
    ),
    Start(
        "florida",
        "Florida",
        "https://my.sunshine811.com/tolerance-zone",
        {"tolerance_in": 24},
        "The text states the tolerance zone only, from the outside edges. Ask for the rest.",
    ),
    Start(
        "mississippi",
        "Mississippi",
        "https://ms811.org",
        {"tolerance_in": 18},
        "The text states hand tools within 18 inches only. Ask for the rest.",
    ),
)


def start_named(slug: str) -> Start | None:
    """Return the start of that name, if there is one."""
    return next((each for each in STARTS if each.slug == slug), None)

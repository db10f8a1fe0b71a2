"""A question about what to bring back first, asked on a summer noon."""

from dataclasses import replace
from datetime import date, datetime, time
from typing import Any

from django.utils import timezone

from reports.returning.services.asking import Asked
from reports.returning.services.choosing import answer
from sites.models import User
from sites.runs.services import Silent

TODAY = date(2025, 8, 1)
AT = timezone.make_aware(datetime.combine(TODAY, time(12)))
ASKED = Asked(hours=16, people=2, until=date(2025, 11, 1), currency="USD")


def asked(user: User, **changes: Any) -> dict[str, Any]:
    """Return the answer to the question with these changes."""
    return answer(Silent(), user=user, asked=replace(ASKED, **changes), at=AT)

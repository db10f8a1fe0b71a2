"""The off-central summary as a table for a terminal."""

from datetime import date

from reports.off_central.queries import by_reason
from sites.models import User
from sites.register.queries.stations import in_the_ratio


def off_central_lines(user: User, *, today: date) -> list[str]:
    """Return the lines of a table: stations by reason, their sum, and since when."""
    reasons = by_reason(user)
    stations = in_the_ratio(user).count()
    off = sum(line.count for line in reasons)
    rows = [(line.reason, str(line.count), line.oldest.isoformat()) for line in reasons]
    rows.append(
        ("all", str(off), min((line.oldest for line in reasons), default=today).isoformat())
    )
    width = max(len(row[0]) for row in rows)
    return [
        "",
        f"Off central control on {today.isoformat()}: {off} of {stations:,} stations",
        f"  {'reason':<{width}}  stations  longest since",
        *(f"  {name:<{width}}  {count:>8}  {oldest}" for name, count, oldest in rows),
        "",
    ]

"""The tools that a user had at hand the last time, as defaults for the next search."""

from faults.models import Search
from sites.models import User


def tools_last_used(user: User) -> list[str]:
    """Return the tools of the user's last search, or none."""
    last = Search.objects.filter(by=user).order_by("-started_at", "-pk").first()
    return list(last.tools) if last else []

"""Send things as a phone does."""

from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

from faults.models import Job, SheetItem
from faults.sheet.services.inbox import take_in
from sites.models import User
from tests import make


def thing(job: Job, kind: str, /, *, minute: int = 0, **body: Any) -> dict[str, Any]:
    """Return one thing of a kind, so many minutes into the visit."""
    over = {"over": body.pop("over")} if "over" in body else {}
    return {
        "id": str(body.pop("id", uuid4())),
        "kind": kind,
        "job": job.ref,
        "at": (make.NOW + timedelta(minutes=minute)).isoformat(),
        "body": body,
        **over,
    }


def ohms(job: Job, value: float, **more: Any) -> dict[str, Any]:
    """Return a reading of the station that is off."""
    station = job.fault.stations.get().station_id  # type: ignore[union-attr]
    return thing(job, "reading", **{"kind": "ohms", "station": station, "value": value, **more})


def send(by: User, *things: dict[str, Any], now: datetime | None = None) -> list[SheetItem]:
    """Send things an hour after the visit, with a clock that is right."""
    moment = now or make.NOW + timedelta(hours=1)
    return take_in(batch={"now": moment.isoformat(), "items": list(things)}, by=by, now=moment)


def answers(rows: list[SheetItem]) -> list[str]:
    """Return what became of each."""
    return [str(row.answer) for row in rows]

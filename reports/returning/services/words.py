"""Why a station is in the set, why the next is not, and what an unknown fact would change."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from reports.returning.engines.effort import Step
from sites.cells.engines.measures import AREA, FLOW
from sites.models import Property
from sites.templatetags.water import lacks_words, volume_text
from sites.water.engines.inputs import Lacks

STEP_WORDS: Mapping[Step, Promise] = {
    Step.NOTHING: gettext_lazy("no crew: central's operator"),
    Step.RETURN: gettext_lazy("prove and return"),
    Step.MEND: gettext_lazy("dig, mend, return"),
    Step.SEARCH: gettext_lazy("search, dig, mend, return"),
    Step.TEST: gettext_lazy("read the loop first"),
    Step.REPAIR: gettext_lazy("repair at the valve or the controller"),
}
# Below this a worth is nothing that anybody would send a crew for.
LEAST = 0.5


def worth_words(worth: float | None, unit: str, place: Property | None = None) -> str:
    """Return money with its currency, or water."""
    if worth is None:
        return _("not known")
    if unit == "water":
        return volume_text(worth, place)
    return f"{worth:,.0f} {unit}".strip()


def hours_words(minutes: float) -> str:
    """Return hours with one decimal."""
    return f"{minutes / 60:.1f} h"


def saves_words(row: Mapping[str, Any], unit: str, place: Property | None) -> str:
    """Say what a station saves: water, its price, visits, and what else counts."""
    parts = []
    if row["excess_gal"] is not None and row["excess_gal"] >= 1:
        water = volume_text(row["excess_gal"], place)
        parts.append(_("%s of water that nobody needs") % water)
    if row["visits"] >= 0.05:
        n = f"{row['visits']:.1f}".removesuffix(".0")
        parts.append(_("battery visits: %s") % n)
    if row["besides"] >= LEAST:
        parts.append(
            _("%(money)s for its age or promised day")
            % {"money": worth_words(row["besides"], unit, place)}
        )
    if row["worth"] is None and row["excess_gal"] is None:
        parts.insert(0, _("water not known"))
    return "; ".join(parts) or _("no water and no visit")


def inside_words(row: Mapping[str, Any], unit: str, place: Property | None) -> str:
    """Say how sure its place in the set is."""
    if row["step"] == Step.NOTHING.value:
        return _("Takes no crew hours: ask central's operator.")
    needs = row["needs"] or 0.0
    if needs < LEAST:
        return _("Its hours are of no use to any other.")
    return _("In as long as it is worth at least %s.") % worth_words(needs, unit, place)


def outside_words(row: Mapping[str, Any], unit: str, place: Property | None) -> str:
    """Say what the next would need to be in."""
    needs = row["needs"]
    if needs is None:
        return _("Alone it needs %(hours)s: more than there are hours or money.") % {
            "hours": hours_words(row["alone"])
        }
    return _("Alone it needs %(hours)s. It comes in once it is worth %(worth)s.") % {
        "hours": hours_words(row["alone"]),
        "worth": worth_words(needs, unit, place),
    }


def unknown_words(row: Mapping[str, Any], unit: str, place: Property | None) -> str:
    """Say what is missing, and at which value of it the station would be in."""
    missing = lacks_words(";".join(row["lacks"])) if row["lacks"] else ""
    if not missing:
        missing = _("rate of labour") if not row["has_rate"] else _("not worked out yet")
    if row["step"] == Step.NOTHING.value:
        return _("Missing: %s. It takes no crew hours: ask central's operator.") % missing
    needs, turn = row.get("needs"), row.get("turn")
    if "needs" not in row:
        return _("Missing: %s.") % missing
    if needs is None:
        return _("Missing: %s. It does not fit into these hours whatever it saves.") % missing
    if needs < LEAST:
        return _("Missing: %s. It comes in as soon as it saves anything.") % missing
    # Answers kept from before all of them say it.
    is_exact = row.get("is_exact", True)
    if turn is not None:
        return _turn(missing, turn, place, is_exact=is_exact)
    worth = worth_words(needs, unit, place)
    shown = {"what": missing, "worth": worth}
    if not is_exact:
        return _("Missing: %(what)s. It is sure to come in once it is worth %(worth)s.") % shown
    return _("Missing: %(what)s. It comes in once it is worth %(worth)s.") % shown


def _turn(missing: str, turn: list[Any], place: Property | None, *, is_exact: bool) -> str:
    name, value, is_above = turn
    units = place.units if place else "us"
    measure = FLOW if name == Lacks.FLOW.value else AREA
    shown = {"what": missing, "value": measure.in_words(value, units)}
    if not is_exact and is_above:
        return _("Missing: %(what)s. Over %(value)s it is sure to come in.") % shown
    if not is_exact:
        return _("Missing: %(what)s. Under %(value)s it is sure to come in.") % shown
    if is_above:
        return _("Missing: %(what)s. Over %(value)s it comes in.") % shown
    return _("Missing: %(what)s. Under %(value)s it comes in.") % shown


def as_day(value: str) -> date | None:
    """Return a day as it was kept; None for none."""
    return date.fromisoformat(value) if value else None

"""What a forecast says, in words."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from reports.ahead.engines.scoring import LEAST_FORECASTS
from reports.ahead.services.working_out import FASTER_ANSWERS, MORE_CREW, RETURN_FIRST
from reports.goals.services.words import Best, best_of
from sites.cells.services.writing import Written

CHANGE_WORDS = {
    MORE_CREW: gettext_lazy("one more crew"),
    FASTER_ANSWERS: gettext_lazy("clients answer in half the time"),
    RETURN_FIRST: gettext_lazy("what saves most water for its hours is returned first"),
}


def band_words(points: Sequence[float]) -> str:
    """Write a middle and its 90 % band."""
    low, _quarter, middle, _three, high = (round(point) for point in points)
    return _("%(middle)s (%(low)s to %(high)s)") % {"middle": middle, "low": low, "high": high}


def none_old_words(found: Mapping[str, Any]) -> str:
    """Say by when none is left that has been off longer than a year."""
    if found["none_old_on"] is None:
        return _("not within two years")
    return str(date.fromisoformat(found["none_old_on"]))


def none_old_sentence(found: Mapping[str, Any]) -> str:
    """Say the same as a sentence, with how sure it is."""
    if not found["old"]:
        return _("None has been off longer than a year.")
    said = ngettext(
        "%(n)s has been off longer than a year.", "%(n)s have been off longer than a year.",
        found["old"],
    ) % {"n": found["old"]}  # fmt: skip
    if found["none_old_on"] is None:
        late = _("It is not 90 % sure that a day without any comes within two years.")
    else:
        late = _("It is 90 %% sure that there is a day without any until %(day)s.") % {
            "day": found["none_old_on"]
        }
    return f"{said} {late}"


def honest_words(scores: Mapping[str, Any]) -> str:
    """Say whether past bands held as often as they should."""
    every = scores["all"]
    if every is None:
        return _("No past forecast could be held against what came: records are too short.")
    low, high = every["usual"]
    said = _("Of %(n)s past forecasts %(inside)s lay within their 90 %% band.") % {
        "n": every["forecasts"],
        "inside": every["ours"]["inside"],
    }
    if every["forecasts"] < LEAST_FORECASTS:
        return f"{said} " + _("Too few to tell.")
    if every["ours"]["inside"] < low:
        usual = _("Honest bands hold %(low)s to %(high)s times: these were too narrow.")
        return f"{said} {usual % {'low': low, 'high': high}}"
    return f"{said} " + _("That is as honest bands do.")


def better_words(scores: Mapping[str, Any]) -> str:
    """Say whether the forecast did better than saying that nothing changes."""
    words = {
        Best.NOT_KNOWN: "",
        Best.OURS: _("It did better than “as many as now” and than a straight line."),
        Best.SAME: _("So far “as many as now” did better: trust that more."),
        Best.LINE: _("So far a straight line did better: trust that more."),
    }
    return words[best_of(scores)]


def written(found: Mapping[str, Any]) -> Written:
    """Return the months as one list."""
    headings = [_("Day"), _("At least, 5 %"), _("25 %"), _("Middle"), _("75 %"),
                _("At most, 95 %")]  # fmt: skip

    def lines() -> Iterator[list[Any]]:
        for day, *points in found["months"]:
            yield [date.fromisoformat(day), *(round(point) for point in points)]

    return Written(_("When all will be back"), headings, lines)

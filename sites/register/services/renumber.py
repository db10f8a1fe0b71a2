"""The verb that gives the stations of a controller other numbers; each stays itself."""

from collections import Counter
from collections.abc import Mapping

from django.db.models import Max
from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Controller, Station


class UnableToRenumber(UnableToAct):
    """Numbers that cannot be given so."""


@verb(
    name="renumber the stations of a controller",
    action=Action.EDIT_REGISTER,
    guard="each number above 0 and given once; at least one number changes",
    undo="renumber the stations back",
)
def renumber_stations(*, controller: Controller, numbers: Mapping[int, int]) -> int:
    """Give stations new numbers, swaps too; return how many changed.

    Args:
        numbers: the new number by the station's id; stations left out keep theirs.
    """
    standing = list(controller.stations.filter(retired_on__isnull=True).order_by("number", "pk"))
    _refuse_numbers(standing, numbers)
    changing = [each for each in standing if numbers.get(each.pk, each.number) != each.number]
    if not changing:
        raise UnableToRenumber(_("No number is different. Type the new ones beside the old ones."))
    _park(controller, changing, numbers)
    for station in changing:
        station.number = numbers[station.pk]
        station.save()
    return len(changing)


def _refuse_numbers(standing: list[Station], numbers: Mapping[int, int]) -> None:
    known = {station.pk for station in standing}
    if set(numbers) - known:
        raise UnableToRenumber(
            _("A station of this list was retired or moved meanwhile. Open the list again.")
        )
    wanted = Counter(numbers.get(each.pk, each.number) for each in standing)
    twice = next((number for number, times in sorted(wanted.items()) if times > 1), None)
    if twice is not None:
        both = [
            f"{each.number} {each.name}".strip()
            for each in standing
            if numbers.get(each.pk, each.number) == twice
        ]
        raise UnableToRenumber(
            _("Number %(number)s is given to %(stations)s. Give each its own.")
            % {"number": twice, "stations": ", ".join(both)}
        )
    if any(number < 1 for number in wanted):
        raise UnableToRenumber(_("Numbers start at 1."))


def _park(controller: Controller, changing: list[Station], numbers: Mapping[int, int]) -> None:
    """Move them out of each other's way first, because a number is used once at any moment.

    The places in between are no history: history keeps one row, from the old to the new number.
    """
    highest = controller.stations.aggregate(n=Max("number"))["n"] or 0
    free = max(highest, *numbers.values()) + 1
    for ahead, station in enumerate(changing):
        station.number = free + ahead
        station.skip_history_when_saving = True  # type: ignore[attr-defined]
        station.save()
        del station.skip_history_when_saving  # type: ignore[attr-defined]

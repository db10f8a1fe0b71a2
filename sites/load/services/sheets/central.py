"""Sheet on central: the central system's own list, which is no part of the register."""

from django.utils.translation import gettext_lazy as _

from sites.cells.engines.raw import Cell
from sites.cells.services.columns import Flag, Manner, Text, plain_text
from sites.load.services.kinds import SheetKind
from sites.load.services.sheets.common import CONTROLLER, PROPERTY, STATION

_ALSO = {
    **dict.fromkeys(("active", "running", "in program", "habilitada", "activa"), True),
    **dict.fromkeys(("inactive", "suspended", "not in program", "deshabilitada"), False),
}


class Enabled(Flag):
    """Yes or no, as central systems write it."""

    def read(self, cell: Cell, manner: Manner, unit: str) -> bool:
        """Return the flag."""
        known = _ALSO.get(plain_text(cell).casefold())
        return super().read(cell, manner, unit) if known is None else known


KIND = SheetKind(
    "on central",
    (
        Text("property code", also=PROPERTY.also),
        CONTROLLER,
        STATION,
        Enabled("enabled", also="active|on|in program|is enabled|habilitada"),
    ),
    also="central|central list|central export|on central control",
    marks=frozenset({"enabled"}),
    left_alone=_("This is the central system's own list. It is compared, not loaded: left alone."),
)

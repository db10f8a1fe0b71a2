"""Sheet on central: the central system's own list, which is no part of the register."""

from django.utils.translation import gettext_lazy as _

from sites.services.load.columns import Flag, Text
from sites.services.load.kinds import SheetKind
from sites.services.load.sheets.common import CONTROLLER, PROPERTY, STATION

KIND = SheetKind(
    "on central",
    (
        Text("property code", also=PROPERTY.also),
        CONTROLLER,
        STATION,
        Flag("enabled", also="active|on"),
    ),
    also="central|central list|central export|on central control",
    marks=frozenset({"enabled"}),
    left_alone=_("This is the central system's own list. It is compared, not loaded: left alone."),
)

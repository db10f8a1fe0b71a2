"""The ground in words, and what a property's own word for its soil says of it."""

from django.utils.translation import gettext_lazy as _

from faults.work.engines.digging import Ground

GROUND_WORDS = {
    Ground.LOOSE: _("loose"),
    Ground.FIRM: _("firm"),
    Ground.GRAVEL: _("gravel"),
    Ground.CLAY: _("clay"),
    Ground.BOULDER_CLAY: _("clay with boulders"),
    Ground.HARDPAN: _("hardpan"),
    Ground.ROCK: _("rock"),
}
# A property's own word for its soil says as much, where it says anything.
GROUND_BY_SOIL = {"clay": Ground.CLAY, "gravel": Ground.GRAVEL, "sand": Ground.LOOSE}


def ground_of(soil: str) -> str:
    """Return the ground that a property's soil suggests, or nothing."""
    words = soil.casefold()
    found = [ground.value for word, ground in GROUND_BY_SOIL.items() if word in words]
    return found[0] if found else ""

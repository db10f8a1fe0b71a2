"""What nobody ever wrote down: an answer of its own, so that a sheet stops asking."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from sites.models.base import History
from sites.models.station import Station


class NotWritten(models.Model):
    """A fact of a station of which somebody said that it was never written down.

    It says something while the fact is missing alone: a value that is found later counts, and
    figures that need the fact stay not known until then.
    """

    station = models.ForeignKey(Station, on_delete=models.CASCADE, related_name="not_written")
    fact = models.CharField(_("fact"), max_length=30)
    said_on = models.DateField(_("said on"))
    history = History()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["station", "fact"], name="not_written_said_once_of_a_fact"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.station}: {self.fact}"

"""Forms that were taken, so that a second press or a reload adds nothing twice."""

from django.conf import settings
from django.db import models


class SentForm(models.Model):
    """One opened form that was sent and taken; its key was made when it was opened."""

    key = models.UUIDField(primary_key=True)
    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    # A hash of what was typed: the same again is a second press, something else a second thing.
    digest = models.CharField(max_length=64)
    said = models.CharField(max_length=400, blank=True)
    led_to = models.CharField(max_length=300, blank=True)
    taken_at = models.DateTimeField(db_index=True)

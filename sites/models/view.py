"""Views that a user keeps: a list with its filter and order, by name."""

from django.conf import settings
from django.db import models
from django.utils.translation import gettext_lazy as _


class SavedView(models.Model):
    """One address with its filter, kept by one user under a name."""

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="saved_views"
    )
    name = models.CharField(_("name"), max_length=60)
    path = models.CharField(max_length=200)
    query = models.CharField(max_length=1000, blank=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["user", "path", "name"], name="saved_view_named_once_per_list"
            ),
        ]

    def __str__(self) -> str:
        return self.name


class StepPutAway(models.Model):
    """A first step that one user wants to see no more; `step` is its name in the list."""

    user = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="steps_put_away"
    )
    step = models.CharField(max_length=40)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["user", "step"], name="step_put_away_once"),
        ]

    def __str__(self) -> str:
        return self.step

"""Tokens by which other programs act for a user."""

from django.conf import settings
from django.db import models
from django.db.models import Q
from django.utils.translation import gettext_lazy as _

from sites.models.base import History


class Scope(models.TextChoices):
    """What a token is good for; the user's own roles are its limit besides."""

    READ = "read", _("read what may be seen")
    REPORT = "report", _("report faults")
    READINGS = "readings", _("enter readings")
    CENTRAL = "central", _("bring the central system's list")
    NOTICES = "notices", _("enter what owners of buried lines answered")
    SCHEDULES = "schedules", _("change schedules")
    WEATHER = "weather", _("bring weather")


class ApiToken(models.Model):
    """One program's token. Only a hash of the secret is kept: who reads the database cannot act.

    `scopes` holds values of `Scope`, with a space between them. Without `client` and `property`
    it reaches wherever the user's roles do.
    """

    user = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    name = models.CharField(_("which program"), max_length=60)
    secret_hash = models.CharField(max_length=64, unique=True)
    scopes = models.CharField(_("what it may do"), max_length=120)
    client = models.ForeignKey(
        "sites.Client", on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    property = models.ForeignKey(
        "sites.Property", on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    made_at = models.DateTimeField()
    # The first moment at which it does not hold any more.
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True, blank=True)
    last_used_at = models.DateTimeField(null=True, blank=True)
    history = History()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="token_reaches_a_client_or_a_property_not_both",
                condition=Q(client__isnull=True) | Q(property__isnull=True),
            ),
            models.CheckConstraint(
                name="token_expires_after_it_is_made",
                condition=Q(expires_at__gt=models.F("made_at")),
            ),
        ]

    def __str__(self) -> str:
        return self.name

    def scope_set(self) -> frozenset[str]:
        """The scopes as a set."""
        return frozenset(self.scopes.split())

    def scope_labels(self) -> list[str]:
        """The scopes in words, in the order of `Scope`."""
        return [str(scope.label) for scope in Scope if scope.value in self.scope_set()]

"""The people who sign in, and what each may see."""

from functools import cached_property
from typing import TYPE_CHECKING, Any

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.db.models import Q
from django.db.models.functions import Coalesce
from django.db.models.signals import pre_delete
from django.dispatch import receiver
from django.utils.translation import gettext_lazy as _

from sites.kernel.engines.roles import Role
from sites.models.base import History

if TYPE_CHECKING:
    from django_stubs_ext.db.models.manager import RelatedManager


ROLE_CHOICES = [
    (Role.OWNER.value, _("owner")),
    (Role.WATER_MANAGER.value, _("water manager")),
    (Role.DISPATCHER.value, _("dispatcher")),
    (Role.TECHNICIAN.value, _("technician")),
    (Role.TRACER.value, _("subcontracted tracer")),
    (Role.CLIENT.value, _("client")),
]


class User(AbstractUser):
    """A user who signs in, with a time zone and a language of their own."""

    email = models.EmailField(_("e-mail"), blank=True)
    time_zone = models.CharField(_("time zone"), max_length=64, default="UTC")
    language = models.CharField(
        _("language"),
        max_length=8,
        choices=[("en", _("English")), ("es", _("Spanish"))],
        default="en",
    )

    if TYPE_CHECKING:
        grants: RelatedManager["Grant"]

    def __str__(self) -> str:
        return self.get_full_name() or self.username

    @cached_property
    def held_grants(self) -> list["Grant"]:
        """All grants, read once per request."""
        return list(self.grants.all())


@receiver(pre_delete, sender=User)
def refuse_to_delete_people(instance: User, **signal: Any) -> None:
    """Keep who did what: rows all over the register name people.

    Raises:
        ProtectedError: always.
    """
    raise models.ProtectedError("People are never deleted: make them inactive instead.", {instance})


class Grant(models.Model):
    """One role for one user: on everything, on one client's properties, or on one property."""

    user = models.ForeignKey(User, on_delete=models.CASCADE, related_name="grants")
    role = models.CharField(_("role"), max_length=24, choices=ROLE_CHOICES)
    client = models.ForeignKey(
        "sites.Client", on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    property = models.ForeignKey(
        "sites.Property", on_delete=models.CASCADE, null=True, blank=True, related_name="+"
    )
    history = History()

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="grant_covers_a_client_or_a_property_not_both",
                condition=Q(client__isnull=True) | Q(property__isnull=True),
            ),
            models.CheckConstraint(
                name="grant_of_an_outsider_is_limited",
                condition=~Q(role__in=[Role.CLIENT.value, Role.TRACER.value])
                | Q(client__isnull=False)
                | Q(property__isnull=False),
            ),
            # SQLite knows no NULLS NOT DISTINCT, so an empty limit is compared as 0.
            models.UniqueConstraint(
                "user",
                "role",
                Coalesce("client", 0),
                Coalesce("property", 0),
                name="grant_given_once",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.role}"

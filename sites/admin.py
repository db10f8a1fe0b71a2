"""People and their grants. The register itself is changed by its own verbs, never here."""

from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from sites.models import Grant, User


class GrantInline(admin.TabularInline):  # type: ignore[type-arg]
    """What a user may see and do, and where."""

    model = Grant
    extra = 1


@admin.register(User)
class PersonAdmin(UserAdmin):  # type: ignore[type-arg]
    """Users with their grants, time zone and language."""

    list_display = ("username", "email", "first_name", "last_name", "is_active")
    inlines = [GrantInline]

    def has_delete_permission(self, request: HttpRequest, obj: User | None = None) -> bool:
        """Return False: people end by being made inactive, and history keeps who did what."""
        return False

    fieldsets = (
        *(UserAdmin.fieldsets or ()),
        (_("Here"), {"fields": ("time_zone", "language")}),
    )

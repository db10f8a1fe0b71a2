"""People and their grants. The register itself is changed by its own verbs, never here."""

from django.contrib import admin
from django.contrib.admin.models import LogEntry
from django.contrib.auth.admin import UserAdmin
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext_lazy as _

from sites.kernel.services.audit import note
from sites.models import Event, Grant, User


def _sign_in_here(request: HttpRequest, extra_context: object = None) -> HttpResponse:
    """Lead to the one sign-in, which asks for the second factor too."""
    if request.user.is_authenticated:
        raise PermissionDenied
    return redirect_to_login(request.GET.get("next", ""))


admin.site.login = _sign_in_here  # type: ignore[method-assign]


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

    def log_addition(self, request: HttpRequest, obj: User, message: object) -> LogEntry:
        """Note it in the log that nobody can change, too."""
        note(Event.ADMIN, about=obj, detail="added")
        return super().log_addition(request, obj, message)

    def log_change(self, request: HttpRequest, obj: User, message: object) -> LogEntry:
        """Note it in the log that nobody can change, too."""
        note(Event.ADMIN, about=obj, detail=message)
        return super().log_change(request, obj, message)

    fieldsets = (
        *(UserAdmin.fieldsets or ()),
        (_("Here"), {"fields": ("time_zone", "language")}),
    )

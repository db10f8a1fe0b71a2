"""What sign-in writes into a session and into the log."""

from typing import Any

from axes.signals import user_locked_out
from django.conf import settings
from django.contrib.auth import authenticate
from django.contrib.auth.signals import user_logged_in, user_login_failed
from django.http import HttpRequest
from django.utils import timezone

from sites.kernel.services.audit import address_of, device_of, note
from sites.models import Event, User
from sites.people.services.second_factor import factor_of, lacks_factor, try_code
from sites.people.services.sign_ins import Device, begin, seen

SEEN_EVERY_S = 300
ROW, SEEN, LACKS, PROVEN = "door", "door_seen", "door_lacks_factor", "door_proven"


def connect() -> None:
    """Listen to sign-ins, right and wrong."""
    user_logged_in.connect(_begun, dispatch_uid="sites.people.begun")
    user_login_failed.connect(_failed, dispatch_uid="sites.people.failed")
    user_locked_out.connect(_locked, dispatch_uid="sites.people.locked")


def keep_sign_in(request: HttpRequest, user: User) -> bool:
    """Note every five minutes that a device is still used; False where its sign-in was ended."""
    now = timezone.now()
    session = request.session
    if ROW not in session:  # signed in before these rows were kept
        _begun(request=request, user=user)
    elif not 0 <= now.timestamp() - session.get(SEEN, 0) < SEEN_EVERY_S:
        if not seen(session[ROW], user, _device(request), at=now):
            return False
        session[SEEN], session[LACKS] = now.timestamp(), lacks_factor(user)
    return True


def is_fresh(request: HttpRequest, user: User) -> bool:
    """Return whether the person showed lately who they are.

    Who has neither a password nor a second factor came in by the demo: nothing can be asked.
    """
    age_s = timezone.now().timestamp() - request.session.get(PROVEN, 0)
    if abs(age_s) < settings.ASK_AGAIN_AFTER_MINUTES * 60:
        return True
    return not user.has_usable_password() and factor_of(user) is None


def prove(request: HttpRequest, user: User, typed: str) -> bool:
    """Check a password, or a code where there is a second factor; wrong ones count and lock."""
    now = timezone.now()
    if factor_of(user) is not None:
        is_right = try_code(user, typed, at=now).is_right
    else:
        found = authenticate(request, username=user.get_username(), password=typed)
        is_right = found is not None and found.pk == user.pk
    if is_right:
        proven(request, user)
    return is_right


def proven(request: HttpRequest, user: User) -> None:
    """Note that the person just showed who they are."""
    now = timezone.now()
    # What may reach far from now on goes under another key than what may have been read.
    request.session.cycle_key()
    request.session[PROVEN] = now.timestamp()
    if ROW in request.session:
        seen(request.session[ROW], user, _device(request), at=now)


def _begun(*, request: HttpRequest, user: User, **signal: Any) -> None:
    session = request.session
    if session.session_key is None:
        session.save()
    now = timezone.now()
    session[ROW], session[PROVEN] = begin(user, _device(request), at=now), now.timestamp()
    session[SEEN], session[LACKS] = now.timestamp(), lacks_factor(user)


def _failed(*, credentials: dict[str, Any], **signal: Any) -> None:
    note(Event.SIGN_IN_FAILED, about=credentials.get("username") or "")


def _locked(*, username: str | None = None, **signal: Any) -> None:
    note(Event.LOCKED_OUT, about=username or "")


def _device(request: HttpRequest) -> Device:
    return Device(request.session.session_key or "", device_of(request), address_of(request))

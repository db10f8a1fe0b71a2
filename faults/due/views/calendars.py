"""Calendars and the daily mail: one's own settings, the feed itself, and the way out of a mail."""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_safe

from faults.due.forms import DigestForm, FeedForm
from faults.due.queries import people_in_feeds
from faults.due.services.calendars.feed import calendar_of
from faults.due.services.calendars.links import (
    link_of,
    make_calendar_link,
    reader_by,
    revoke_calendar_link,
)
from faults.due.services.unsubscribing import choose_digest, digest_choice, user_of
from sites.kernel.access import SignedInRequest, page_for
from sites.kernel.engines.roles import Action
from sites.kernel.services.verbs import UnableToAct
from sites.kernel.views.limits import limited


@page_for(Action.SEE_WORK)
def reminders(request: SignedInRequest) -> HttpResponse:
    """One's own calendar link and daily mail."""
    choice = digest_choice(request.user)
    initial = {"is_wanted": choice.is_wanted, "at_hour": choice.at_hour}
    form = DigestForm(request.POST if request.method == "POST" else None, initial=initial)
    if request.method == "POST" and form.is_valid():
        choose_digest(user=request.user, **form.cleaned_data)
        messages.success(request, _("Your settings are kept."))
        return redirect("faults:reminders")
    context = {
        "form": form,
        "link": link_of(request.user),
        "feed": FeedForm(people=people_in_feeds(request.user)),
    }
    status = 422 if form.errors else 200
    return render(request, "faults/due/reminders.html", context, status=status)


@page_for(Action.SEE_WORK)
def calendar_make(request: SignedInRequest) -> HttpResponse:
    """Make a link, and show its address this one time."""
    if request.method != "POST":
        return redirect("faults:reminders")
    feed = FeedForm(request.POST, people=people_in_feeds(request.user))
    if not feed.is_valid():
        return redirect("faults:reminders")
    address = make_calendar_link(user=request.user, at=timezone.now())
    if query := feed.query():
        address = f"{address}?{query}"
    response = render(request, "faults/due/calendar_made.html", {"address": address})
    response.headers["Cache-Control"] = "no-store"
    return response


@page_for(Action.SEE_WORK)
def calendar_revoke(request: SignedInRequest) -> HttpResponse:
    """End the link."""
    if request.method == "POST":
        try:
            revoke_calendar_link(user=request.user, at=timezone.now())
            messages.success(request, _("Revoked: nobody reads your calendar by that address."))
        except UnableToAct as refusal:
            messages.error(request, str(refusal))
    return redirect("faults:reminders")


@require_safe
def _calendar_feed(request: HttpRequest, secret: str) -> HttpResponse:
    """The calendar, for any caller with its address. Permissions are checked at each read."""
    user = reader_by(secret, at=timezone.now())
    if user is None:
        raise Http404
    feed = FeedForm(request.GET, people=people_in_feeds(user))
    # An address with a slip in it shows nothing, rather than silently everything.
    if not feed.is_valid():
        raise Http404
    content = calendar_of(user, at=timezone.now(), narrowed=feed.narrowed())
    response = HttpResponse(content, content_type="text/calendar; charset=utf-8")
    response.headers["Content-Disposition"] = 'inline; filename="rejoin.ics"'
    response.headers["Cache-Control"] = "private, max-age=300"
    response.headers["X-Robots-Tag"] = "noindex"
    return response


calendar_feed = limited("calendar", "60/minute", methods=("GET", "HEAD"))(_calendar_feed)


def _unsubscribe(request: HttpRequest, token: str) -> HttpResponse:
    """End the daily mail of the user whose mail held this link: by a mail program's one click
    (RFC 8058), or by a button, because programs that look at mails open every link."""
    user = user_of(token)
    if user is None:
        raise Http404
    is_done = request.method == "POST"
    if is_done:
        choose_digest(user=user, is_wanted=False, at_hour=digest_choice(user).at_hour)
    with translation.override(user.language):
        return render(request, "faults/due/unsubscribe.html", {"is_done": is_done})


unsubscribe = csrf_exempt(limited("unsubscribe", "30/minute")(_unsubscribe))

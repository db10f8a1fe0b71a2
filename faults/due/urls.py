"""Addresses of what falls due, calendars and health."""

from django.urls import path

from faults.due.views import (
    calendars,
    due,
    due_lines,
    due_many,
    due_notes,
    follow_up_rules,
    health,
)
from sites.kernel.views.verb_views import page

patterns = [
    path("due/", due.due, name="due"),
    path("due/many/", due_many.DueMany.as_view(), name="due_many"),
    page("due/rules/", follow_up_rules.FollowUpRules),
    page("due/<ref:ref>/finish/", due_lines.DueFinish),
    page("due/<ref:ref>/move/", due_lines.DueMove),
    page("due/<ref:ref>/move-back/", due_lines.DueMoveBack),
    page("due/<ref:ref>/hand-over/", due_lines.DueHandOver),
    page("due/<ref:ref>/reopen/", due_lines.DueReopen),
    page("properties/<ref:ref>/due/note/", due_notes.DueNoteAtProperty),
    page("stations/<ref:ref>/due/note/", due_notes.DueNoteAtStation),
    page("faults/<ref:ref>/due/note/", due_notes.DueNoteAtFault),
    path("account/reminders/", calendars.reminders, name="reminders"),
    path("account/reminders/calendar/make/", calendars.calendar_make, name="calendar_make"),
    path("account/reminders/calendar/revoke/", calendars.calendar_revoke, name="calendar_revoke"),
    path("calendar/<slug:secret>.ics", calendars.calendar_feed, name="calendar_feed"),
    path("unsubscribe/<str:token>/", calendars.unsubscribe, name="unsubscribe"),
    path("health/", health.health, name="health"),
    page("health/mails/<int:pk>/again/", health.MailAgain),
    path("healthz", health.healthz, name="healthz"),
    path("metrics", health.metrics, name="metrics"),
]

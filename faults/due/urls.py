"""Addresses of what falls due, calendars and health."""

from django.urls import path

from faults.due.views import calendars, due, due_notes, follow_up_rules, health

patterns = [
    path("due/", due.due, name="due"),
    path("due/rules/", follow_up_rules.follow_up_rules, name="follow_up_rules"),
    path("due/<ref:ref>/finish/", due.finish, name="due_finish"),
    path("due/<ref:ref>/move/", due.move, name="due_move"),
    path("due/<ref:ref>/hand-over/", due.hand, name="due_hand_over"),
    path("due/<ref:ref>/reopen/", due.reopen, name="due_reopen"),
    path("properties/<ref:ref>/due/note/", due_notes.note_at_property, name="due_note_at_property"),
    path("stations/<ref:ref>/due/note/", due_notes.note_at_station, name="due_note_at_station"),
    path("faults/<ref:ref>/due/note/", due_notes.note_at_fault, name="due_note_at_fault"),
    path("account/reminders/", calendars.reminders, name="reminders"),
    path("account/reminders/calendar/make/", calendars.calendar_make, name="calendar_make"),
    path("account/reminders/calendar/revoke/", calendars.calendar_revoke, name="calendar_revoke"),
    path("calendar/<slug:secret>.ics", calendars.calendar_feed, name="calendar_feed"),
    path("unsubscribe/<str:token>/", calendars.unsubscribe, name="unsubscribe"),
    path("health/", health.health, name="health"),
    path("health/mails/<int:pk>/again/", health.mail_again, name="mail_again"),
    path("healthz", health.healthz, name="healthz"),
]

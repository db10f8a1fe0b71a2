"""Addresses of programs that are told."""

from django.urls import path

from reports.hooks.views import receivers
from sites.kernel.views.verb_views import page

patterns = [
    path("account/receivers/", receivers.receivers, name="receivers"),
    path("account/receivers/set-up/", receivers.receiver_set_up, name="receiver_set_up"),
    path("account/receivers/<ref:ref>/", receivers.receiver, name="receiver"),
    page("account/receivers/<ref:ref>/change/", receivers.ReceiverChange),
    path("account/receivers/<ref:ref>/secret/", receivers.receiver_secret, name="receiver_secret"),
    page("account/receivers/<ref:ref>/off/", receivers.ReceiverOff),
    page("account/receivers/<ref:ref>/on/", receivers.ReceiverOn),
    page("account/receivers/<ref:ref>/test/", receivers.ReceiverTest),
    page("account/receivers/<ref:ref>/again/<int:pk>/", receivers.DeliveryAgain),
]

"""Addresses of quotes."""

from django.urls import path

from faults.quotes.views import quotes
from sites.kernel.views.verb_views import page

patterns = [
    page("faults/<ref:ref>/quotes/add/<slug:purpose>/", quotes.QuoteAdd),
    path("quotes/<ref:ref>/", quotes.quote, name="quote"),
    page("quotes/<ref:ref>/withdraw/", quotes.QuoteWithdraw),
]

"""Addresses of quotes."""

from django.urls import path

from faults.quotes.views import answers, own_answers, quotes
from sites.kernel.views.verb_views import page

patterns = [
    page("faults/<ref:ref>/quotes/add/<slug:purpose>/", quotes.QuoteAdd),
    path("quotes/<ref:ref>/", quotes.quote, name="quote"),
    path("quotes/<ref:ref>/pdf/", quotes.quote_pdf_file, name="quote_pdf"),
    path("quotes/<ref:ref>/send/", quotes.quote_send, name="quote_send"),
    page("quotes/<ref:ref>/revoke/", quotes.QuoteRevoke),
    page("quotes/<ref:ref>/telephone/", quotes.QuoteTelephone),
    page("quotes/<ref:ref>/reopen/", quotes.QuoteReopen),
    path("quotes/<ref:ref>/answer/", own_answers.own_answer, name="quote_own_answer"),
    path("quotes/<ref:ref>/answer/pdf/", own_answers.own_answer_pdf, name="quote_own_answer_pdf"),
    path("answer/<str:secret>/", answers.quote_answer, name="quote_answer"),
    path("answer/<str:secret>/fault-photos/<ref:ref>/", answers.quote_photo, name="quote_photo"),
    path("answer/<str:secret>/pdf/", answers.quote_answer_pdf, name="quote_answer_pdf"),
    page("quotes/<ref:ref>/withdraw/", quotes.QuoteWithdraw),
]

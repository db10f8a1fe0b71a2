"""Addresses of what is billed."""

from django.urls import path

from faults.billing.views import batches, claims, earned, unbilled
from sites.kernel.views.verb_views import page

patterns = [
    path("books/", unbilled.unbilled, name="unbilled"),
    path("books/many/", unbilled.UnbilledMany.as_view(), name="unbilled_many"),
    page("books/give/", unbilled.BatchGive),
    path("books/batches/", batches.batches, name="batches"),
    path("books/batches/<ref:ref>/", batches.batch, name="batch"),
    page("books/batches/<ref:ref>/take-back/", batches.BatchTakeBack),
    page("faults/<ref:ref>/order-number/", batches.FaultOrder),
    page("faults/<ref:ref>/penalty/", batches.FaultPenalty),
    page("jobs/<ref:ref>/order-number/", batches.JobOrder),
    path("books/earned/", earned.earnings, name="earnings"),
    path("damage/", claims.claims, name="claims"),
    path("damage/<ref:ref>/", claims.claim, name="claim"),
    page("faults/<ref:ref>/damage/add/", claims.ClaimAdd),
    page("damage/<ref:ref>/change/", claims.ClaimChange),
    page("damage/<ref:ref>/paid/", claims.ClaimPaid),
    page("damage/<ref:ref>/not-paid/", claims.ClaimNotPaid),
    page("damage/<ref:ref>/drop/", claims.ClaimDrop),
]

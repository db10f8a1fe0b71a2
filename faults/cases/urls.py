"""Addresses of cases."""

from django.urls import path

from faults.cases.views import asking, assign, breaks, legs, photos, report
from sites.kernel.views.verb_views import page

patterns = [
    page("faults/report/", report.Report),
    page("properties/<ref:ref>/faults/report/", report.ReportOnProperty),
    page("stations/<ref:ref>/faults/report/", report.ReportOnStation),
    page("faults/<ref:ref>/correct/", report.Correct),
    page("faults/<ref:ref>/assign/", assign.Assign),
    page("faults/<ref:ref>/unassign/", assign.Unassign),
    page("faults/<ref:ref>/breaks/add/", breaks.BreakAdd),
    page("breaks/<ref:ref>/correct/", breaks.BreakCorrect),
    page("breaks/<ref:ref>/take-back/", breaks.BreakTakeBack),
    path("breaks/<ref:ref>/evidence/", breaks.evidence, name="evidence"),
    page("faults/<ref:ref>/photos/add/", photos.FaultPhotoAdd),
    path("fault-photos/<ref:ref>/", photos.fault_photo, name="fault_photo"),
    path("fault-photos/<ref:ref>/small/", photos.fault_photo_small, name="fault_photo_small"),
    page("fault-photos/<ref:ref>/hide/", photos.FaultPhotoHide),
    page("fault-photos/<ref:ref>/show/", photos.FaultPhotoShow),
    path("legs/<ref:ref>/", legs.leg, name="leg"),
    page("legs/<ref:ref>/length/", legs.LegCorrectLength),
    page("legs/<ref:ref>/split/", legs.LegSplit),
    page("legs/<ref:ref>/join/", legs.LegRejoin),
    page("faults/<ref:ref>/ask/", asking.Ask),
    page("questions/<int:pk>/answer/", asking.Answer),
    page("questions/<int:pk>/correct/", asking.QuestionCorrect),
    page("faults/<ref:ref>/enable-asked/", asking.EnableAsked),
]

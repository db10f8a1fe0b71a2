"""Addresses of cases."""

from django.urls import path

from faults.cases.views import asking, assign, breaks, ground, photos, report
from sites.kernel.views.verb_views import page

patterns = [
    path("faults/report/", report.report, name="report"),
    path(
        "properties/<ref:ref>/faults/report/", report.report_on_property, name="report_on_property"
    ),
    path("stations/<ref:ref>/faults/report/", report.report_on_station, name="report_on_station"),
    path("faults/<ref:ref>/correct/", report.correct, name="correct"),
    path("faults/<ref:ref>/assign/", assign.assign, name="assign"),
    path("faults/<ref:ref>/unassign/", assign.unassign, name="unassign"),
    path("faults/<ref:ref>/breaks/add/", breaks.break_add, name="break_add"),
    path("breaks/<ref:ref>/correct/", breaks.break_correct, name="break_correct"),
    path("breaks/<ref:ref>/evidence/", breaks.evidence, name="evidence"),
    page("faults/<ref:ref>/photos/add/", photos.FaultPhotoAdd),
    path("fault-photos/<ref:ref>/", photos.fault_photo, name="fault_photo"),
    path("fault-photos/<ref:ref>/small/", photos.fault_photo_small, name="fault_photo_small"),
    page("fault-photos/<ref:ref>/hide/", photos.FaultPhotoHide),
    page("fault-photos/<ref:ref>/show/", photos.FaultPhotoShow),
    path("legs/<ref:ref>/", ground.leg, name="leg"),
    page("legs/<ref:ref>/length/", ground.LegCorrectLength),
    page("legs/<ref:ref>/split/", ground.LegSplit),
    page("legs/<ref:ref>/join/", ground.LegRejoin),
    path("faults/<ref:ref>/ask/", asking.ask, name="ask"),
    path("questions/<int:pk>/answer/", asking.answer, name="answer"),
    path("questions/<int:pk>/correct/", asking.question_correct, name="question_correct"),
    path("faults/<ref:ref>/enable-asked/", asking.enable_asked, name="enable_asked"),
]

"""Addresses of faults and of loading."""

from django.urls import path

from faults.cases.views import assign, breaks, ground, photos, report
from faults.casework.views import faults, moves
from faults.due.urls import due_patterns
from faults.load import views as load
from faults.locating.urls import search_patterns
from faults.notices.urls import notice_patterns
from faults.readings.views import distances, readings
from faults.sheet.urls import sheet_patterns
from faults.waits.urls import moves_patterns
from faults.work.urls import job_patterns

app_name = "faults"

urlpatterns = [
    *job_patterns,
    *notice_patterns,
    *due_patterns,
    *moves_patterns,
    *sheet_patterns,
    *search_patterns,
    path("faults/", faults.faults, name="faults"),
    path("faults/<ref:ref>/", faults.fault, name="fault"),
    path("faults/report/", report.report, name="report"),
    path(
        "properties/<ref:ref>/faults/report/", report.report_on_property, name="report_on_property"
    ),
    path("stations/<ref:ref>/faults/report/", report.report_on_station, name="report_on_station"),
    path("faults/<ref:ref>/correct/", report.correct, name="correct"),
    path("faults/<ref:ref>/move/<slug:to>/", moves.move, name="move"),
    path("faults/<ref:ref>/assign/", assign.assign, name="assign"),
    path("faults/<ref:ref>/unassign/", assign.unassign, name="unassign"),
    path("faults/<ref:ref>/breaks/add/", breaks.break_add, name="break_add"),
    path("breaks/<ref:ref>/correct/", breaks.break_correct, name="break_correct"),
    path("breaks/<ref:ref>/evidence/", breaks.evidence, name="evidence"),
    path("faults/<ref:ref>/photos/add/", photos.fault_photo_add, name="fault_photo_add"),
    path("fault-photos/<ref:ref>/", photos.fault_photo, name="fault_photo"),
    path("fault-photos/<ref:ref>/small/", photos.fault_photo_small, name="fault_photo_small"),
    path("fault-photos/<ref:ref>/hide/", photos.fault_photo_hide, name="fault_photo_hide"),
    path("fault-photos/<ref:ref>/show/", photos.fault_photo_show, name="fault_photo_show"),
    path("legs/<ref:ref>/", ground.leg, name="leg"),
    path("legs/<ref:ref>/length/", ground.leg_correct_length, name="leg_correct_length"),
    path("legs/<ref:ref>/split/", ground.leg_split, name="leg_split"),
    path("legs/<ref:ref>/join/", ground.leg_rejoin, name="leg_rejoin"),
    path("load/", load.load, name="load"),
    path("load/<ref:ref>/", load.load_upload, name="load_upload"),
    path("load/<ref:ref>/progress/", load.load_progress, name="load_progress"),
    path("load/<ref:ref>/match/", load.load_match, name="load_match"),
    path("load/<ref:ref>/confirm/", load.load_confirm, name="load_confirm"),
    path("load/<ref:ref>/again/", load.load_again, name="load_again"),
    path("load/<ref:ref>/cancel/", load.load_cancel, name="load_cancel"),
    path("load/<ref:ref>/give-up/", load.load_give_up, name="load_give_up"),
    path("stations/<ref:ref>/readings/add/", readings.reading_add, name="reading_add"),
    path("stations/<ref:ref>/readings/judge/", readings.judge, name="judge"),
    path("stations/<ref:ref>/distance/", distances.methods, name="distances"),
    path("stations/<ref:ref>/distance/<slug:method>/", distances.distance, name="distance"),
    path("stations/<ref:ref>/depth/", distances.depth, name="depth"),
    path("readings/<int:pk>/void/", readings.reading_void, name="reading_void"),
    path("controllers/<ref:ref>/readings/", readings.readings, name="readings"),
    path("controllers/<ref:ref>/check-up/", readings.check_up_page, name="check_up"),
    path("controllers/<ref:ref>/walk/", readings.walk_page, name="walk"),
]

"""Addresses of points, legs and wires, and of what serves a station."""

from django.urls import path

from sites.ground.views import legs, lists, plan
from sites.kernel.views.verb_views import page

patterns = [
    path("properties/<ref:ref>/points/", lists.points, name="points"),
    path("properties/<ref:ref>/legs/", lists.legs, name="legs"),
    path("properties/<ref:ref>/wires/", lists.wires, name="wires"),
    path("properties/<ref:ref>/plan/picture.jpg", plan.plan_picture_file, name="plan_picture_file"),
    page("properties/<ref:ref>/plan/picture/", plan.PlanPictureChange, "plan_picture"),
    page("properties/<ref:ref>/plan/scale/", plan.PlanScale),
    page("properties/<ref:ref>/plan/points/", plan.PlanPoints),
    page("properties/<ref:ref>/plan/picture/remove/", plan.PlanPictureRemove),
    page("properties/<ref:ref>/plan/picture/back/", plan.PlanPictureBringBack),
    page("points/<ref:ref>/plan/off/", plan.PlanPointOff),
    page("properties/<ref:ref>/legs/add/", legs.LegAdd),
    page("legs/<ref:ref>/change/", legs.LegChange),
    page("legs/<ref:ref>/renew/", legs.LegRenew),
    page("legs/<ref:ref>/renew/take-back/", legs.LegRenewalTakeBack),
    page("legs/<ref:ref>/retire/", legs.LegRetire),
    page("legs/<ref:ref>/bring-back/", legs.LegBringBack),
]

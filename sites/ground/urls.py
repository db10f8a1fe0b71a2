"""Addresses of points, legs and wires, and of what serves a station."""

from django.urls import path

from sites.ground.views import ground, legs, plan

patterns = [
    path("properties/<ref:ref>/points/", ground.points, name="points"),
    path("properties/<ref:ref>/legs/", ground.legs, name="legs"),
    path("properties/<ref:ref>/wires/", ground.wires, name="wires"),
    path("properties/<ref:ref>/plan/picture.jpg", plan.plan_picture_file, name="plan_picture_file"),
    path("properties/<ref:ref>/plan/picture/", plan.plan_picture, name="plan_picture"),
    path("properties/<ref:ref>/plan/scale/", plan.plan_scale, name="plan_scale"),
    path("properties/<ref:ref>/plan/points/", plan.plan_points, name="plan_points"),
    path(
        "properties/<ref:ref>/plan/picture/remove/",
        plan.plan_picture_remove,
        name="plan_picture_remove",
    ),
    path(
        "properties/<ref:ref>/plan/picture/back/",
        plan.plan_picture_bring_back,
        name="plan_picture_bring_back",
    ),
    path("points/<ref:ref>/plan/off/", plan.plan_point_off, name="plan_point_off"),
    path("properties/<ref:ref>/legs/add/", legs.leg_add, name="leg_add"),
    path("legs/<ref:ref>/change/", legs.leg_change, name="leg_change"),
    path("legs/<ref:ref>/renew/", legs.leg_renew, name="leg_renew"),
    path(
        "legs/<ref:ref>/renew/take-back/",
        legs.leg_renewal_take_back,
        name="leg_renewal_take_back",
    ),
    path("legs/<ref:ref>/retire/", legs.leg_retire, name="leg_retire"),
    path("legs/<ref:ref>/bring-back/", legs.leg_bring_back, name="leg_bring_back"),
]

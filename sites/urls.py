"""Addresses of the register."""

from django.urls import path

from sites.ground.urls import ground_patterns
from sites.ground.views import ground, plan
from sites.people.views import account
from sites.reconcile.urls import desk_patterns
from sites.register.urls import register_verb_patterns
from sites.register.views import lists, photos, register
from sites.water.urls import water_patterns

app_name = "sites"

urlpatterns = [
    path("properties/", lists.properties, name="properties"),
    path("properties/add/", register.property_add, name="property_add"),
    path("properties/<ref:ref>/controllers/add/", register.controller_add, name="controller_add"),
    path("properties/<ref:ref>/points/", ground.points, name="points"),
    path("properties/<ref:ref>/legs/", ground.legs, name="legs"),
    path("properties/<ref:ref>/wires/", ground.wires, name="wires"),
    *ground_patterns,
    *desk_patterns,
    *water_patterns,
    path("controllers/", lists.controllers, name="controllers"),
    path("stations/", lists.stations, name="stations"),
    path("stopgaps/", lists.stopgaps, name="stopgaps"),
    path("photos/<ref:ref>/photo.jpg", photos.photo, name="photo"),
    path("photos/<ref:ref>/small.jpg", photos.photo_small, name="photo_small"),
    path("photos/<ref:ref>/hide/", photos.photo_hide, name="photo_hide"),
    path("photos/<ref:ref>/show/", photos.photo_show, name="photo_show"),
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
    path("points/<ref:ref>/photos/add/", photos.point_photo_add, name="point_photo_add"),
    path("devices/<ref:ref>/photos/add/", photos.device_photo_add, name="device_photo_add"),
    *register_verb_patterns,
    path("account/", account.account, name="account"),
    path("account/sign-in/", account.sign_in, name="sign_in"),
    path("account/sign-out/", account.sign_out, name="sign_out"),
    path("account/password/", account.password_change, name="password_change"),
    path("account/password/changed/", account.password_changed, name="password_changed"),
    path("account/forgotten/", account.password_reset, name="password_reset"),
    path("account/forgotten/sent/", account.password_reset_sent, name="password_reset_sent"),
    path(
        "account/forgotten/<uidb64>/<token>/",
        account.password_reset_confirm,
        name="password_reset_confirm",
    ),
]

"""Addresses of the verbs on stations, controllers, stopgaps and properties."""

from django.urls import path

from sites.register.views import (
    access_days,
    central,
    contacts,
    lists,
    photos,
    properties,
    register,
    retire,
    stations,
)

patterns = [
    path("properties/", lists.properties, name="properties"),
    path("properties/add/", register.property_add, name="property_add"),
    path("properties/<ref:ref>/controllers/add/", register.controller_add, name="controller_add"),
    path("controllers/", lists.controllers, name="controllers"),
    path("stations/", lists.stations, name="stations"),
    path("stopgaps/", lists.stopgaps, name="stopgaps"),
    path("photos/<ref:ref>/photo.jpg", photos.photo, name="photo"),
    path("photos/<ref:ref>/small.jpg", photos.photo_small, name="photo_small"),
    path("photos/<ref:ref>/hide/", photos.photo_hide, name="photo_hide"),
    path("photos/<ref:ref>/show/", photos.photo_show, name="photo_show"),
    path("points/<ref:ref>/photos/add/", photos.point_photo_add, name="point_photo_add"),
    path("devices/<ref:ref>/photos/add/", photos.device_photo_add, name="device_photo_add"),
    path("properties/retired/", retire.retired_properties, name="retired_properties"),
    path("properties/<ref:ref>/edit/", properties.property_edit, name="property_edit"),
    path("properties/<ref:ref>/client/", properties.property_client, name="property_client"),
    path("properties/<ref:ref>/warranty/", properties.property_warranty, name="property_warranty"),
    path("properties/<ref:ref>/tariff/", properties.property_tariff, name="property_tariff"),
    path(
        "properties/<ref:ref>/tariff/take-back/",
        properties.property_tariff_back,
        name="property_tariff_back",
    ),
    path("properties/<ref:ref>/authority/", contacts.property_authority, name="property_authority"),
    path(
        "properties/<ref:ref>/authority/end/",
        contacts.property_authority_end,
        name="property_authority_end",
    ),
    path("properties/<ref:ref>/access/", access_days.property_access, name="property_access"),
    path(
        "properties/<ref:ref>/access/hours/",
        access_days.property_access_hours,
        name="property_access_hours",
    ),
    path(
        "properties/<ref:ref>/access/closed/",
        access_days.property_blackout,
        name="property_blackout",
    ),
    path(
        "properties/<ref:ref>/access/closed/take-back/",
        access_days.property_blackout_back,
        name="property_blackout_back",
    ),
    path("properties/<ref:ref>/contacts/", contacts.property_contacts, name="property_contacts"),
    path("properties/<ref:ref>/contacts/edit/", contacts.contact_edit, name="contact_edit"),
    path("properties/<ref:ref>/contacts/end/", contacts.contact_end, name="contact_end"),
    path("properties/<ref:ref>/retire/", retire.property_retire, name="property_retire"),
    path("properties/<ref:ref>/retired/", retire.property_retired, name="property_retired"),
    path("controllers/<ref:ref>/", central.controller, name="controller"),
    path("controllers/<ref:ref>/edit/", central.controller_edit, name="controller_edit"),
    path("controllers/<ref:ref>/link/", central.controller_link, name="controller_link"),
    path(
        "controllers/<ref:ref>/renumber/", central.controller_renumber, name="controller_renumber"
    ),
    path(
        "controllers/<ref:ref>/equipment/",
        central.controller_equipment,
        name="controller_equipment",
    ),
    path(
        "controllers/<ref:ref>/equipment/take-back/",
        central.controller_equipment_back,
        name="controller_equipment_back",
    ),
    path("controllers/<ref:ref>/retire/", retire.controller_retire, name="controller_retire"),
    path("stations/<ref:ref>/edit/", stations.station_edit, name="station_edit"),
    path("stations/<ref:ref>/facts/", stations.station_facts, name="station_facts"),
    path(
        "stations/<ref:ref>/facts/take-back/",
        stations.station_facts_back,
        name="station_facts_back",
    ),
    path("stations/<ref:ref>/schedule/", stations.station_schedule, name="station_schedule"),
    path(
        "stations/<ref:ref>/schedule/take-back/",
        stations.station_schedule_back,
        name="station_schedule_back",
    ),
    path("stations/<ref:ref>/retire/", retire.station_retire, name="station_retire"),
]

"""The ground as a file for mapping programs: of one property, or of all."""

from django.http import HttpResponse
from django.utils import timezone
from django.utils.text import slugify

from reports.places.services.map import blocks_of, map_of
from sites.kernel.access import SignedInRequest, find, page_for, properties_for
from sites.kernel.engines.roles import Action
from sites.kernel.views.table_files import attached

GEOJSON = "application/geo+json"


@page_for(Action.EXPORT)
def property_map(request: SignedInRequest, ref: str) -> HttpResponse:
    """Points, legs, stations and breaks of one property."""
    place = find(properties_for(request.user, Action.EXPORT), ref=ref)
    name = f"{slugify(place.code) or 'map'}.geojson"
    return attached(blocks_of(map_of(request.user, place)), name, GEOJSON)


@page_for(Action.EXPORT)
def export_map(request: SignedInRequest) -> HttpResponse:
    """The same of all properties in care that the user sees."""
    user = request.user
    places = list(properties_for(user, Action.EXPORT).in_care().order_by("code", "pk"))
    features = (feature for place in places for feature in map_of(user, place))
    name = f"map-{timezone.localdate().isoformat()}.geojson"
    return attached(blocks_of(features), name, GEOJSON)

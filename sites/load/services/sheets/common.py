"""Columns that several sheets share."""

from sites.cells.engines.measures import DEGREES
from sites.cells.services.columns import Measure, Text, Whole

REF = Text("ref", also="rejoin ref", longest=16, shows="ref")
PROPERTY = Text(
    "property code",
    also=(
        "property|property name|property no|property id|site|site code|site name|site id|location|"
        "job site|account|community|hoa|park|job|job name|propiedad|"
        "nombre de la propiedad|sitio|nombre del sitio|finca|inmueble|predio|conjunto|complejo"
    ),
    required=True,
    name=True,
    shows="property.code",
)
CONTROLLER = Text(
    "controller",
    also=(
        "controller name|controller id|controller no|controller number|controller #|clock|"
        "clock name|clock no|ctrl|cntrlr|ctl|satellite|timer name|timer|"
        "timer no|timer number|timer id|controlador|reloj|programador"
    ),
    required=True,
    name=True,
    longest=60,
    shows="controller.name",
)
STATION = Whole(
    "station number",
    also=(
        "station|station no|station #|station id|stn|stn no|stn #|sta|sta no|zone|zone no|"
        "zone number|zone #|zone id|valve|valve number|valve no|valve #|valve id|number|no|#|nr|"
        "estacion|no de estacion|numero de estacion|zona|no de zona|numero de zona|valvula|"
        "no de valvula|numero de valvula|electrovalvula|circuito|sector"
    ),
    required=True,
    least=1,
    shows="station.number",
)
NOTES = Text(
    "notes",
    also="note|comment|comments|remark|remarks|memo|details|nota|notas|observaciones|comentarios",
    attribute="notes",
    longest=10_000,
    lines=True,
)
LATITUDE = Measure(
    "latitude",
    also="lat|y|latitud",
    attribute="latitude",
    dimension=DEGREES,
    least=-90.0,
    most=90.0,
)
LONGITUDE = Measure(
    "longitude",
    also="lon|long|lng|x|longitud",
    attribute="longitude",
    dimension=DEGREES,
    least=-180.0,
    most=180.0,
)

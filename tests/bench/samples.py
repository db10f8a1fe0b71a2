"""A thing for each variable part of an address, so that a bench leaves no page out."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from sites.kernel.services.verbs import as_one_change
from sites.models import (
    Blackout,
    ClimateRow,
    Contact,
    Controller,
    Leg,
    Outage,
    Property,
    Station,
    Stopgap,
    StuckOpen,
    User,
)
from tests import make
from tests.cast import Corner
from tests.web.addresses import Address, samples_for

Samples = Mapping[tuple[str, str], str]


@dataclass(frozen=True)
class Made:
    """Values for the variable parts of addresses, and by name of an address what it is asked."""

    samples: Samples
    queries: Mapping[str, str]


def found_on(place: Property) -> Samples:
    """Return things of the register as it was filled: what most pages are about."""
    from faults.models import Fault

    stations = Station.objects.filter(controller__property=place)
    off = stations.filter(spells__to_on=None, spells__isnull=False).order_by("pk")
    return {
        ("properties", "ref"): place.ref,
        ("controllers", "ref"): Controller.objects.filter(property=place)[0].ref,
        ("stations", "ref"): off[0].ref,
        ("stopgaps", "ref"): Stopgap.objects.filter(station__in=off)[0].ref,
        ("faults", "ref"): Fault.objects.filter(property=place)[0].ref,
    }


@as_one_change()
def made_on(place: Property, *, starter: User) -> Made:
    """Make one of everything on a property, for the addresses of which the register has none."""
    clock = make.controller(property=place, name="Sampled")
    main = make.station(controller=clock, name="Sampled main", kind="master valve")
    off = make.station(controller=clock, name="Sampled off", depends_on=main)
    on = make.station(controller=clock, name="Sampled on")
    timer = make.device(property=place, name="Sampled timer")
    make.stopgap(station=off, on=date(2025, 2, 1), device=timer)
    fault = make.fault(off, key="sampled")
    make.reading(station=off)
    samples = samples_for(Corner(place, clock, off, on, fault), starter=starter)
    leg = Leg.objects.get(ref=samples["legs", "ref"])
    make.break_found(fault=fault, leg=leg, running_number=9)
    return Made(samples, _queries(place, off))


def _queries(place: Property, off: Station) -> dict[str, str]:
    """Return what an address needs behind its question mark to show anything."""
    who = Contact.objects.create(property=place, name="Sampled")
    on, after = date(2025, 3, 1), date(2025, 3, 2)
    closed = Blackout.objects.create(property=place, from_on=on, to_on=after, why="sampled")
    stopped = Outage.objects.create(station=off, kind="dead battery", from_on=on, to_on=after)
    ClimateRow.objects.create(table="Sampled", month=1, eto_in=1.0)
    stuck = StuckOpen.objects.create(station=off, on=on, hours=2)
    return {
        "reports:export_summary": "?export=csv",
        "sites:climate_table": "?table=Sampled",
        "sites:contact_end": f"?row={who.pk}",
        "sites:property_blackout_back": f"?row={closed.pk}",
        "sites:station_outage_back": f"?row={stopped.pk}",
        "sites:station_stuck_open_back": f"?row={stuck.pk}",
    }


def urls_of(address: Address, found: Mapping[str, Samples], made: Made) -> list[tuple[str, str]]:
    """Return (label, address) for each property that has such a thing, else for the one made.

    Raises:
        KeyError: there is no sample of it.
    """
    query = made.queries.get(address.name, "")
    if not address.is_about_one_thing:
        return [(address.name, address.url({}) + query)]
    if query:  # of a row that was made, so of what was made beside it
        return [(f"{address.name} (made)", address.url(made.samples) + query)]
    sizes = {size: each for size, each in found.items() if set(address.keys) <= set(each)}
    return [
        (f"{address.name} ({size})", address.url(values))
        for size, values in (sizes or {"made": made.samples}).items()
    ]

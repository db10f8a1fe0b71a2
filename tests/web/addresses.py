"""Every address of the site, found in the resolver, with who may open it."""

import re
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.contrib.auth.tokens import default_token_generator
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from django.utils.encoding import force_bytes
from django.utils.http import urlsafe_base64_encode
from django.utils.timezone import localdate

from faults.models import CrewAway, JobKind, PersonAway, Reading, SearchNumber
from sites.ground.services.plan_picture import put_up_plan_picture
from sites.kernel.engines.roles import Action
from sites.models import CentralList, Grant, Run, TickedAct, Upload, User
from sites.people.services.invitations import invitation_token
from sites.register.services.photos import PreparedPhoto
from tests import (
    make,
    make_answers,
    make_billing,
    make_due,
    make_hooks,
    make_jobs,
    make_notices,
    make_prices,
    make_quotes,
    make_reports,
    make_rounds,
    make_searches,
)
from tests.cast import Corner

# Open to anyone, signed in or not.
PUBLIC = {
    *("sites:sign_in", "sites:sign_in_code", "sites:sign_out"),
    "sites:password_reset",
    "sites:password_reset_sent",
    "sites:password_reset_confirm",
    "sites:invited",
    # By a secret in the address, and without any detail.
    *("faults:calendar_feed", "faults:unsubscribe"),
    *("faults:quote_answer", "faults:quote_photo", "faults:quote_answer_pdf"),
    "faults:healthz",
    # The same for everybody: a script and a list of icons.
    "faults:sheet_worker",
    "faults:sheet_manifest",
}
# Of these, what shows one client's things to who has the secret, and no other client's.
BY_SECRET = {"faults:quote_answer", "faults:quote_answer_pdf"}
# Open to every signed-in user, whatever the role: one's own account, and what phones send, where
# each thing asks for its own right, so that it is refused by its reason and not lost.
SIGNED_IN = {
    "sites:start",
    "sites:account",
    "sites:password_change",
    "sites:password_changed",
    *("sites:second_factor", "sites:passkeys", "sites:sign_ins", "sites:sign_ins_end"),
    "faults:sheet_items",
}
# Asks for the action on every property, so that a role limited to one client is refused.
NEEDS_ALL_PROPERTIES = {
    "sites:property_add",
    "sites:climate_add",
    "sites:climate_weather",
    *("sites:audit", "sites:roles_need_factor"),
    "faults:prices_company",
}
# An upload is seen by who brought it, and by an owner, a suggested rota by who had it made; the
# samples are the owner's.
OWN = ("account/tokens/<", "account/receivers/<", "load/<", "acts/<", "moves/board/suggest/<")
OWN += ("first/<", "reports/made/<")


@dataclass(frozen=True)
class Address:
    """One address: its name, its whole route, and the action that its view asks for."""

    name: str
    route: str
    asks_for: Action | None

    @property
    def keys(self) -> list[tuple[str, str]]:
        """(the word before it, its name) for each variable part of the route."""
        words = [word for word in self.route.split("/") if word]
        keys = []
        for before, word in zip(["", *words], words, strict=False):
            if found := re.fullmatch(r"<(?:\w+:)?(\w+)>(?:\.\w+)?", word):
                keys.append((before, found[1]))
        return keys

    @property
    def is_about_one_thing(self) -> bool:
        """Whether the address names an object that belongs to a client."""
        return bool(self.keys)

    def url(self, samples: Mapping[tuple[str, str], str]) -> str:
        """Return the address with the samples in its variable parts."""
        return reverse(self.name, kwargs={key[1]: samples[key] for key in self.keys})


def every_address() -> list[Address]:
    """Return all addresses but the admin's and the API's, which have gates of their own."""
    found = [
        Address(name, route, getattr(view, "asks_for", None))
        for name, route, view in _walk(get_resolver(), "", "")
    ]
    return sorted(
        (each for each in found if not is_elsewhere(each.name)), key=lambda each: each.name
    )


def admin_names() -> list[str]:
    """Return the names of the admin's addresses that need no argument."""
    return sorted(
        {
            name
            for name, route, _ in _walk(get_resolver(), "", "")
            if is_admin(name) and "<" not in route and "(" not in route
        }
    )


def is_elsewhere(name: str) -> bool:
    """Return whether the address is tested elsewhere: the admin's here, the API's in `api`."""
    return is_admin(name) or name.startswith("api-v1:") or name == "nothing_there"


def is_admin(name: str) -> bool:
    """Return whether the address is one of Django's own admin."""
    return name.startswith("admin:")


def _walk(
    resolver: URLResolver, space: str, route: str
) -> Iterator[tuple[str, str, Callable[..., Any]]]:
    for each in resolver.url_patterns:
        whole = route + str(each.pattern)
        if isinstance(each, URLResolver):
            inner = f"{space}{each.namespace}:" if each.namespace else space
            yield from _walk(each, inner, whole)
        elif isinstance(each, URLPattern):
            yield f"{space}{each.name}", whole, each.callback


def samples_for(corner: Corner, *, starter: User) -> dict[tuple[str, str], str]:
    """Return a value for each variable part: all of it belongs to the corner's client."""
    run = Run.objects.create(
        service="test add_up",
        title=f"{corner.property.code} run",
        asked_by=starter,
        asked_at=make.NOW,
    )
    upload = Upload.objects.create(
        file="uploads/none.csv", filename=f"{corner.property.code}.csv", by=starter, at=make.NOW
    )
    central = CentralList.objects.create(
        property=corner.property, filename=f"{corner.property.code} list", by=starter, at=make.NOW
    )
    point = make.point(property=corner.property, name=f"{corner.property.code} box")
    photo = make.photo(point=point, caption=f"{corner.property.code} photo")
    one = make.break_found(fault=corner.fault, notes=f"{corner.property.code} break")
    crew = make_jobs.crew(name="North")
    job = make_jobs.job(
        fault=corner.fault,
        crew=crew,
        day=make.TODAY,
        kind=JobKind.DIG,
        planned_depth_in=18,
        notes=f"{corner.property.code} job",
    )
    line = make_jobs.line(job=job, what=f"{corner.property.code} line")
    away = CrewAway.objects.create(crew=crew, from_on=make.TODAY, to_on=make.TODAY)
    put_up_plan_picture(place=corner.property, photo=PreparedPhoto(b"\xff\xd8jpeg", 80, 60))
    of_fault = make.fault_photo(fault=corner.fault, caption=f"{corner.property.code} picture")
    return {
        **samples_of_notices(corner),
        ("properties", "ref"): corner.property.ref,
        ("controllers", "ref"): corner.controller.ref,
        ("stations", "ref"): corner.off_central.ref,
        ("faults", "ref"): corner.fault.ref,
        ("stopgaps", "ref"): corner.off_central.stopgaps.get().ref,
        ("points", "ref"): point.ref,
        ("legs", "ref"): make.leg(property=corner.property, from_point=point).ref,
        ("wires", "ref"): make.wire(property=corner.property).ref,
        ("devices", "ref"): corner.property.devices.get().ref,
        ("photos", "ref"): photo.ref,
        # One that the sheet of this job shows.
        ("photos", "photo"): make_jobs.job_photo(job=job).ref,
        ("breaks", "ref"): one.ref,
        ("fault-photos", "ref"): of_fault.ref,
        ("jobs", "ref"): job.ref,
        ("job-lines", "pk"): str(line.pk),
        ("job-photos", "ref"): make_jobs.job_photo(job=job).ref,
        ("crews", "ref"): crew.ref,
        ("crew-members", "pk"): str(make_jobs.member(crew=crew, user=starter).pk),
        ("job-kinds", "kind"): "valve repair",
        ("crew-away", "pk"): str(away.pk),
        ("person-away", "pk"): str(
            PersonAway.objects.create(user=starter, from_on=make.TODAY, to_on=make.TODAY).pk
        ),
        **make_due.samples(corner),
        **samples_of_searches(corner),
        **samples_of_quotes(corner, starter),
        ("move", "to"): "found",
        ("distance", "method"): "short",
        ("readings", "pk"): str(Reading.objects.get(station=corner.off_central).pk),
        ("rounds", "ref"): make_rounds.round_over(
            corner.property, by=starter, name=f"{corner.property.code} round"
        ).ref,
        ("left-out", "pk"): str(
            make_rounds.left_out(
                station=corner.on_central,
                job=make_jobs.job(fault=corner.fault, stations=[corner.on_central]),
            ).pk
        ),
        ("runs", "ref"): run.ref,
        ("load", "ref"): upload.ref,
        ("suggest", "ref"): make_answers.suggested_rota(starter).ref,
        ("first", "ref"): make_answers.returned_first(starter).ref,
        ("decisions", "ref"): make_answers.decided(corner.property, starter).ref,
        ("costs", "ref"): make_answers.renewal_costs(corner.property, starter).ref,
        **make_reports.samples(corner, starter),
        ("goals", "ref"): make_answers.goal(corner.property, starter).ref,
        ("reconcile", "ref"): central.ref,
        ("acts", "ref"): TickedAct.objects.create(
            user=starter, act="due_finish", at=make.NOW, came_from="/due/", said="1 line done."
        ).ref,
        ("forgotten", "uidb64"): urlsafe_base64_encode(force_bytes(starter.pk)),
        ("invited", "token"): invitation_token(starter),
        ("people", "pk"): str(starter.pk),
        ("grants", "pk"): str(grant_of(starter).pk),
        **make_hooks.samples(corner, starter),
        ("<uidb64>", "token"): default_token_generator.make_token(starter),
    }


def grant_of(user: User) -> Grant:
    """Return a role of the user."""
    return user.grants.get()


def samples_of_quotes(corner: Corner, starter: User) -> dict[tuple[str, str], str]:
    """Return a value for each variable part of the addresses about prices and quotes."""
    prices = make_prices.price_list(property=corner.property)
    word = corner.property.code
    today = localdate()
    told = {"found": f"{word} found", "photos": tuple(corner.fault.photos.all())}
    quote = make_quotes.quote(corner.fault, by=starter, today=today, valid_until=today, **told)
    return {
        ("price-lists", "pk"): str(prices.pk),
        ("damage", "ref"): make_billing.claim(
            fault=corner.fault, statement=f"{word} statement"
        ).ref,
        ("people-there", "pk"): str(
            make_billing.there(job=make_billing.done(fault=corner.fault), name=f"{word} helper").pk
        ),
        ("batches", "ref"): make_billing.batch(
            make_billing.line(job=make_billing.done(fault=corner.fault), what=f"{word} given"),
            by=starter,
        ).ref,
        ("quotes", "ref"): quote.ref,
        ("answer", "secret"): make_quotes.secret_of(quote, by=starter),
        ("add", "purpose"): "dig",
    }


def samples_of_searches(corner: Corner) -> dict[tuple[str, str], str]:
    """Return a value for each variable part of the addresses about searches."""
    station = corner.off_central
    station.run_length_ft = 600.0
    station.save()
    search = make_searches.search(fault=corner.fault, station=station)
    SearchNumber.objects.create(name="walk_ft_per_min", value=240, source="own records")
    return {
        ("search", "station"): station.ref,
        ("searches", "ref"): search.ref,
        ("record", "kind"): "check",
        ("search-readings", "pk"): str(make_searches.search_reading(search=search).pk),
        ("numbers", "name"): "walk_ft_per_min",
    }


def samples_of_notices(corner: Corner) -> dict[tuple[str, str], str]:
    """Return a value for each variable part of the addresses about notices and digs."""
    word = corner.property.code
    job = make_notices.dig(fault=corner.fault, notes=f"{word} job")
    notice = make_notices.notice(fault=corner.fault, ticket=f"{word}-811", area=f"{word} area")
    asked = make_notices.asked(fault=corner.fault, what=f"{word} question")
    rule = make_notices.rule(region="Ohio")
    return {
        ("jobs", "ref"): job.ref,
        ("notices", "ref"): notice.ref,
        ("notice-rules", "ref"): rule.ref,
        ("closed-days", "ref"): make_notices.closed_days(name="Ohio centre").ref,
        ("questions", "pk"): str(asked.pk),
    }

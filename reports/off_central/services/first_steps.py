"""What to do after the first load: each step with how far it is, from what is registered.

A step counts what the pages themselves need, on the properties where this user may enter it, so
it is done when nothing of it is missing; nobody ticks it off. It can be put away, for oneself.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from django.db.models import Exists, OuterRef, Q
from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from faults.models import CrewMember, NoticeRule
from faults.notices.engines.regions import region_key
from sites.kernel.access import actions_anywhere, controllers_for, devices_for, properties_for
from sites.kernel.engines.roles import Action
from sites.kernel.links import page_of
from sites.models import (
    Central,
    ClimateRow,
    Contact,
    Meter,
    Stopgap,
    Tariff,
    User,
)
from sites.models.property import PropertyQuerySet
from sites.templatetags.water import PRICE

MOST_NAMED = 6


@dataclass(frozen=True)
class Counted:
    """How many of how many are known, and the first that are not: (name, address of the form)."""

    known: int
    total: int
    lacking: Sequence[tuple[str, str]] = ()


@dataclass(frozen=True)
class Kind:
    """A step as it is declared: `words` have `%(known)s` and `%(total)s`; `page` is an address."""

    title: Promise
    words: Promise
    page: str
    action: Action
    count: Callable[[User], Counted]
    query: str = ""


@dataclass(frozen=True)
class Step:
    """A step as it stands for one user."""

    name: str
    kind: Kind
    counted: Counted
    is_put_away: bool

    @property
    def is_done(self) -> bool:
        """Whether nothing is missing."""
        return self.counted.known >= self.counted.total

    @property
    def is_open(self) -> bool:
        """Whether it is neither done nor put away."""
        return not self.is_done and not self.is_put_away

    @property
    def said(self) -> str:
        """How far it is, in words."""
        return str(self.kind.words) % {"known": self.counted.known, "total": self.counted.total}

    @property
    def url(self) -> str:
        """Where it is done."""
        return reverse(self.kind.page) + self.kind.query


def first_steps(user: User) -> list[Step]:
    """Return the steps that this user may take, those without anything to enter left out."""
    away = set(user.steps_put_away.values_list("step", flat=True))
    actions = actions_anywhere(user)
    steps = [
        Step(name, kind, kind.count(user), name in away)
        for name, kind in KINDS.items()
        if kind.action in actions
    ]
    return [step for step in steps if step.counted.total]


def _central(user: User) -> Counted:
    rows = controllers_for(user, Action.EDIT_REGISTER).in_care()
    return Counted(rows.exclude(central=Central.NOT_KNOWN).count(), rows.count())


def _batteries(user: User) -> Counted:
    standing = Stopgap.objects.open().filter(device=OuterRef("pk"))
    cared_for = devices_for(user, Action.CHANGE_STOPGAPS).filter(property__retired_on__isnull=True)
    rows = cared_for.filter(Exists(standing))
    unknown = rows.filter(battery_changed_on__isnull=True).order_by("property__code", "name", "pk")
    named = unknown.values_list("ref", "name", "property__code")[:MOST_NAMED]
    lacking = [
        (f"{name}, {code}", page_of("sites:device_battery", ref)) for ref, name, code in named
    ]
    total = rows.count()
    return Counted(total - unknown.count(), total, lacking)


def _meters_where(is_known: Callable[[set[str]], bool]) -> Callable[[User], Counted]:
    """Count the meters of what is off central now, each by what it lacks.

    A meter names what it stopped at: without a schedule it does not say whether the flow is known.
    """

    def count(user: User) -> Counted:
        places = properties_for(user, Action.EDIT_REGISTER).in_care()
        rows = Meter.objects.filter(
            spell__to_on__isnull=True,
            counted_until__isnull=False,
            spell__station__controller__property__in=places,
        )
        place = "spell__station__controller__property__"
        texts = list(
            rows.order_by(f"{place}code", "pk").values_list("lacks", f"{place}code", f"{place}ref")
        )
        known, lacking = 0, {}
        for text, code, ref in texts:
            if is_known(set(filter(None, text.split(";")))):
                known += 1
            else:
                lacking[code] = page_of("sites:missing_facts", ref)
        return Counted(known, len(texts), list(lacking.items())[:MOST_NAMED])

    return count


def _properties_with(
    has: Callable[[], Q], form: str, action: Action = Action.EDIT_REGISTER
) -> Callable[[User], Counted]:
    """Count the properties in care that have it."""

    def count(user: User) -> Counted:
        rows = properties_for(user, action).in_care()
        having = rows.filter(has())
        return _of_properties(rows, set(having.values_list("pk", flat=True)), form)

    return count


def _regions(user: User) -> Counted:
    """A region with a confirmed rule; the rule itself is made on the page of rules."""
    confirmed = NoticeRule.objects.filter(confirmed_by__isnull=False)
    known = {region_key(region) for region in confirmed.values_list("region", flat=True)}
    rows = properties_for(user, Action.EDIT_REGISTER).in_care()
    regions = rows.values_list("pk", "notice_region")
    having = {pk for pk, region in regions if region_key(region) in known}
    return _of_properties(rows, having, "sites:property_edit")


def _of_properties(rows: PropertyQuerySet, having: set[int], form: str) -> Counted:
    found = list(rows.order_by("code", "pk").values_list("pk", "ref", "code"))
    lacking = [(code, page_of(form, ref)) for pk, ref, code in found if pk not in having]
    return Counted(len(having), len(found), lacking[:MOST_NAMED])


def _crews(_user: User) -> Counted:
    people = CrewMember.objects.filter(to_on__isnull=True, crew__retired_on__isnull=True)
    return Counted(int(people.exists()), 1)


def _people(user: User) -> Counted:
    """Whether anybody else can come in."""
    others = User.objects.filter(is_active=True, grants__isnull=False).exclude(pk=user.pk)
    return Counted(int(others.exists()), 1)


def _climate() -> Q:
    own = ClimateRow.objects.filter(property=OuterRef("pk"))
    return ~Q(climate_table="") | Q(Exists(own))


def _price() -> Q:
    priced = Tariff.objects.open().filter(property=OuterRef("pk"), water_price__isnull=False)
    return Q(Exists(priced))


def _contact() -> Q:
    return Q(Exists(Contact.objects.filter(property=OuterRef("pk"), ended_on__isnull=True)))


def _records() -> Q:
    return Q(records_since__isnull=False)


# In the order in which they pay: first what the one number stands on, then what it costs.
KINDS: dict[str, Kind] = {
    "central": Kind(
        _("Say which controllers central control reaches"),
        _("Known of %(known)s of %(total)s controllers."),
        "sites:controllers",
        Action.EDIT_REGISTER,
        _central,
        "?central=not+known",
    ),
    "schedules": Kind(
        _("Enter the schedules of stations off central"),
        _("%(known)s of %(total)s stations off central have a schedule."),
        "reports:water_missing",
        Action.EDIT_REGISTER,
        _meters_where(lambda lacks: lacks.isdisjoint({"schedule", "days"})),
        "?lacks=schedule",
    ),
    "meters": Kind(
        _("Enter areas, flows and plant factors"),
        _("Of %(known)s of %(total)s stations off central it is known what they water too much."),
        "reports:water_missing",
        Action.EDIT_REGISTER,
        _meters_where(lambda lacks: lacks <= {PRICE}),
    ),
    "climate": Kind(
        _("Give each property a climate table"),
        _("%(known)s of %(total)s properties have one."),
        "sites:climate",
        Action.EDIT_REGISTER,
        _properties_with(_climate, "sites:property_climate"),
    ),
    "prices": Kind(
        _("Enter what water costs"),
        _("%(known)s of %(total)s properties have a price of water."),
        "sites:properties",
        Action.SET_AUTHORITY,
        _properties_with(_price, "sites:property_tariff", Action.SET_AUTHORITY),
    ),
    "batteries": Kind(
        _("Enter when batteries were changed"),
        _("%(known)s of %(total)s timers have the day of their batteries."),
        "sites:stopgaps",
        Action.CHANGE_STOPGAPS,
        _batteries,
        "?standing=yes",
    ),
    "crews": Kind(
        _("Set up crews"),
        _("No crew has anybody in it yet."),
        "faults:crews",
        Action.SET_UP_WORK,
        _crews,
    ),
    "people": Kind(
        _("Invite those who work with you"),
        _("Nobody but you can sign in yet."),
        "sites:people",
        Action.MANAGE_PEOPLE,
        _people,
    ),
    "notice rules": Kind(
        _("Set the rule of notice where you dig"),
        _("%(known)s of %(total)s properties lie in a region with a confirmed rule."),
        "faults:notice_rules",
        Action.EDIT_REGISTER,
        _regions,
    ),
    "contacts": Kind(
        _("Enter whom to call"),
        _("%(known)s of %(total)s properties have a contact."),
        "sites:properties",
        Action.EDIT_REGISTER,
        _properties_with(_contact, "sites:property_contacts"),
    ),
    "records": Kind(
        _("Say since when faults are written down"),
        _("Known of %(known)s of %(total)s properties; hotspots count from that day."),
        "sites:properties",
        Action.EDIT_REGISTER,
        _properties_with(_records, "sites:property_edit"),
    ),
}

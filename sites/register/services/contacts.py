"""Verbs on the people of a property, and on what its client allows without being asked."""

from collections.abc import Mapping
from datetime import date
from decimal import Decimal

from django.utils.translation import gettext as _

from sites.kernel.engines.roles import Action
from sites.kernel.services.dated import put
from sites.kernel.services.verb_days import refuse_ahead, save_because
from sites.kernel.services.verbs import UnableToAct, verb
from sites.models import Contact, Property, StandingAuthority


class UnableToKeepContact(UnableToAct):
    """A contact that cannot be kept so."""


class UnableToGiveAuthority(UnableToAct):
    """A standing authority that cannot be so."""


def _refuse_twice(place: Property, values: Mapping[str, object], *, besides: int = 0) -> None:
    same = place.contacts.exclude(pk=besides).filter(
        name__iexact=values["name"], role=values["role"]
    )
    known = same.first()
    if known is None:
        return
    if known.ended_on is not None:
        words = _("%s was a contact in this role until %s. Bring that one back instead.")
        raise UnableToKeepContact(words % (known, known.ended_on.isoformat()), field="name")
    raise UnableToKeepContact(_("%s is a contact in this role already.") % known, field="name")


@verb(
    name="add a contact",
    action=Action.EDIT_REGISTER,
    guard="nobody of that name has that role here",
    undo="end a contact",
)
def add_contact(*, place: Property, values: Mapping[str, object]) -> Contact:
    """Add a person to call about a property."""
    _refuse_twice(place, values)
    contact = Contact(property=place)
    put(contact, values)
    contact.save()
    return contact


@verb(
    name="change a contact",
    action=Action.EDIT_REGISTER,
    guard="nobody else of that name has that role here",
    undo="change it back, with the values that its history shows",
)
def change_contact(*, contact: Contact, values: Mapping[str, object]) -> None:
    """Change a contact's name, role, numbers."""
    _refuse_twice(contact.property, values, besides=contact.pk)
    put(contact, values)
    contact.save()


@verb(
    name="end a contact",
    action=Action.EDIT_REGISTER,
    guard="not ended already; a day that has come",
    undo="bring a contact back",
)
def end_contact(*, contact: Contact, on: date, why: str, today: date) -> None:
    """End a contact: it stays on record and is no longer called."""
    refuse_ahead(on, today, field="on")
    if contact.ended_on is not None:
        raise UnableToKeepContact(_("Ended on %s already.") % contact.ended_on.isoformat())
    contact.ended_on = on
    save_because(contact, why)


@verb(
    name="bring a contact back",
    action=Action.EDIT_REGISTER,
    guard="it was ended",
    undo="end a contact",
)
def bring_contact_back(*, contact: Contact, why: str) -> None:
    """Reopen a contact that was ended."""
    if contact.ended_on is None:
        raise UnableToKeepContact(_("This contact has not ended."))
    contact.ended_on = None
    save_because(contact, why)


@verb(
    name="give a standing authority",
    action=Action.SET_AUTHORITY,
    guard="hours or money, each above 0; who gave it; no other one on those days",
    undo="end a standing authority on the day from which it was given",
)
def give_authority(
    *,
    place: Property,
    from_on: date,
    to_on: date | None,
    up_to_hours: Decimal | None,
    up_to_amount: Decimal | None,
    given_by: str,
    notes: str = "",
) -> StandingAuthority:
    """Record what the client allows at a property without being asked each time."""
    if not ((up_to_hours or 0) > 0 or (up_to_amount or 0) > 0):
        raise UnableToGiveAuthority(
            _("Up to how many hours, or how much money? Enter one or both."), field="up_to_hours"
        )
    for name, limit in (("up_to_hours", up_to_hours), ("up_to_amount", up_to_amount)):
        if limit is not None and limit <= 0:
            raise UnableToGiveAuthority(
                _("A limit is above 0. Leave it empty for none."), field=name
            )
    if to_on is not None and to_on <= from_on:
        raise UnableToGiveAuthority(_("It ends before it starts. Correct a day."), field="to_on")
    _refuse_second_authority(place, from_on, to_on)
    return StandingAuthority.objects.create(
        property=place,
        from_on=from_on,
        to_on=to_on,
        up_to_hours=up_to_hours,
        up_to_amount=up_to_amount,
        given_by=given_by,
        notes=notes,
    )


def _refuse_second_authority(place: Property, from_on: date, to_on: date | None) -> None:
    for other in place.authorities.order_by("from_on", "pk"):
        if other.to_on is not None and other.to_on <= max(other.from_on, from_on):
            continue
        if to_on is None or other.from_on < to_on:
            raise UnableToGiveAuthority(
                _("Another one holds from %s. End it first, so that one limit holds at a time.")
                % other.from_on.isoformat(),
                field="from_on",
            )


@verb(
    name="end a standing authority",
    action=Action.SET_AUTHORITY,
    guard="it holds; a day from its first on; who ended it, or why",
    undo="give it again from that day",
)
def end_authority(*, authority: StandingAuthority, on: date, why: str) -> None:
    """End what the client allowed; ended on its first day, it never held."""
    if on < authority.from_on:
        raise UnableToGiveAuthority(
            _("It was given from %s on. Give that day or a later one.")
            % authority.from_on.isoformat(),
            field="on",
        )
    if authority.to_on is not None and authority.to_on <= on:
        raise UnableToGiveAuthority(
            _("It ends on %s already.") % authority.to_on.isoformat(), field="on"
        )
    authority.to_on = on
    save_because(authority, why)

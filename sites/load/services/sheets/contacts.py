"""Sheet contacts: who to call about a property, and what for."""

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.utils.translation import gettext as _

from sites.cells.engines.plain_words import same_name
from sites.cells.engines.raw import Cell
from sites.cells.services.columns import Choice, Manner, Text, plain_text, words_for
from sites.cells.services.refusals import Unreadable
from sites.load.services.book import Shelf
from sites.load.services.identity import Identity
from sites.load.services.load import Load, PlannedKind
from sites.load.services.rows import Row, Sheet
from sites.load.services.sheets.common import PROPERTY
from sites.models import Contact, ContactRole, Property


class Email(Text):
    """An e-mail address."""

    def read(self, cell: Cell, manner: Manner, unit: str) -> str:
        """Return the address where it can be one."""
        text = plain_text(cell)
        try:
            validate_email(text)
        except ValidationError:
            raise Unreadable(
                _("This is no e-mail address. Correct it, or leave it empty.")
            ) from None
        return text


# Whose contact, the name, and what for.
Key = tuple[Identity, str, str]

COLUMNS = (
    PROPERTY,
    Text("name", also="contact|contact name|full name|nombre", required=True,
         shows="name"),
    Choice(
        "role",
        also="does|function|rol",
        shows="role",
        words=words_for(
            [role.value for role in ContactRole],
            approves="approver|approval|decides|decision maker",
            pays="payer|billing|accounts|accounts payable",
            on_site="site contact|onsite|site|caretaker",
            holds_the_key="key|keys|keyholder|key holder",
            operates_central="central|central operator|operator",
        ),
    ),
    Text("phone", also="telephone|tel|mobile|cell|telefono", attribute="phone", longest=40),
    Email("email", also="e-mail|mail|email address|correo", attribute="email", longest=254),
    Choice(
        "language",
        also="lang|idioma",
        attribute="language",
        words=words_for(["en", "es"], en="english|eng|ingles", es="spanish|espanol|español|spa"),
    ),
)  # fmt: skip


def plan(load: Load, sheet: Sheet) -> None:
    """Plan the contacts: one for each property, name and role."""
    places = load.book.touched
    rows = load.book.rows_of(Contact, "property_id")
    for contact in rows:
        contact.property = places[contact.property_id]
    shelf = Shelf(rows, lambda c: _key(c.property, c.name, c.role))

    def key(row: Row) -> Key | None:
        place = load.property_of(row)
        return _key(place, row.get("name"), row.get("role") or "") if place else None

    for row, known, found in load.matched(sheet, shelf, key):
        contact = known or _new(load, row, shelf, found)
        load.copy(row, contact, contact.name)


def _key(place: Property, name: str, role: str) -> Key:
    return Identity(place), same_name(name), role


def _new(load: Load, row: Row, shelf: Shelf[Contact, Key], key: Key) -> Contact:
    contact = Contact(
        property=load.property_of(row), name=row.get("name"), role=row.get("role") or ""
    )
    load.work.create(contact)
    shelf.put(contact, key)
    row.add(contact.name)
    return contact


KIND = PlannedKind("contacts", COLUMNS, plan=plan, also="contact|people|contactos|contact list")

"""A list of members, pasted as it stands in a sheet or a mail: a name in each line, with an address or without."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.utils.text import get_text_list
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory import book
from inventory.book import Signed
from inventory.dates import long_day
from inventory.models import Entry, Person
from inventory.refusals import Refused
from studio.people import invitations, kinds
from studio.people.invitations import Link
from studio.people.models import Contact
from studio.people.operations import list_people

MOST = 300
LONGEST_NAME = 80
BETWEEN_CELLS = re.compile(r"[\t;]")
ADDRESS = re.compile(r"[,\s]*(?:mailto:)?<?(?:mailto:)?([^\s<>,;]+@[^\s<>,;]*)>?[,\s]*", re.IGNORECASE)


@dataclass
class Newcomer:
    """A line of the list. left_out: why it is not written, though nothing is wrong; fault: what is wrong with it."""

    line: int
    name: str
    email: str = ""
    left_out: str = ""
    fault: str = ""


def read(text: str) -> list[Newcomer]:
    """What each line says; those that the book or the list names already are left out, and say so."""
    newcomers = [newcomer_of(number, line) for number, line in enumerate(text.splitlines(), 1) if line.strip()]
    # a sheet's heading: it speaks of an address and holds none, while others do
    if newcomers and not newcomers[0].email and is_heading(text.splitlines()[newcomers[0].line - 1]):
        newcomers[0].left_out = _("the heading of the list")
    known = {person.name.casefold(): person for person in Person.objects.listed()}
    before: dict[str, Newcomer] = {}
    for each in newcomers:
        if each.left_out or each.fault:
            continue
        name = each.name.casefold()
        if person := known.get(name):
            left = person.left_on and _("in the book already; left on %(day)s") % {"day": long_day(person.left_on)}
            each.left_out = left or _("in the book already")
        elif name in before:
            first = before[name]
            each.left_out = _("named in line %(line)s already") % {"line": first.line}
            if each.email and not first.email:
                first.email = each.email
                each.left_out = _("named in line %(line)s already, which takes the address") % {"line": first.line}
        else:
            before[name] = each
    return newcomers


def newcomer_of(number: int, line: str) -> Newcomer:
    cells = [cell.strip().strip('"').strip() for cell in BETWEEN_CELLS.split(line)]
    email, names = "", []
    for cell in filter(None, cells):
        if address := ADDRESS.search(cell):
            email = email or address.group(1)
            cell = ADDRESS.sub(" ", cell)
        names.append(cell.strip(' ,"'))
    each = Newcomer(number, " ".join(" ".join(names).split()), email)
    if not each.name:
        each.fault = _("no name")
    elif len(each.name) > LONGEST_NAME:
        words = ngettext("a name longer than %(most)s letter", "a name longer than %(most)s letters", LONGEST_NAME)
        each.fault = words % {"most": LONGEST_NAME}
    elif email:
        try:
            validate_email(email)
        except ValidationError:
            each.fault = _("“%(email)s” is no address for mail") % {"email": email}
    return each


def is_heading(line: str) -> bool:
    return len(BETWEEN_CELLS.split(line)) > 1 and bool(re.search(r"mail|courriel|correo", line, re.IGNORECASE))


def new_ones(newcomers: Iterable[Newcomer]) -> list[Newcomer]:
    return [each for each in newcomers if not each.left_out and not each.fault]


def refuse_unreadable(newcomers: Sequence[Newcomer]) -> None:
    """A list is written whole or not at all: nothing in it is dropped without a word."""
    if wrong := [each for each in newcomers if each.fault]:
        told = (_("line %(line)s: %(fault)s") % {"line": each.line, "fault": each.fault} for each in wrong[:5])
        raise Refused("text", _("Put right first: %(faults)s.") % {"faults": "; ".join(told)})
    if not new_ones(newcomers):
        raise Refused("text", _("The book names all of them already."))
    if len(newcomers) > MOST:
        words = ngettext("At most %(most)s name at once.", "At most %(most)s names at once.", MOST)
        raise Refused("text", words % {"most": MOST})


def add_all(text: str, *, role: str, with_links: bool, by: Signed, by_mail: bool = False) -> tuple[Entry, list[Link]]:
    """All of a list in one entry, whose strike takes them off the lists again."""
    newcomers = read(text)
    refuse_unreadable(newcomers)
    new = new_ones(newcomers)
    named = get_text_list([each.name for each in new], _("and"))
    said = ngettext("Added one person: %(named)s", "Added %(count)s people: %(named)s", len(new))
    with book.entry(kinds.PEOPLE_ADDED, said % {"count": len(new), "named": named}, by) as entry:
        people = list_people([each.name for each in new], role, entry=entry)
        Contact.objects.bulk_create(
            Contact(entry=entry, person=person, email=each.email)
            for person, each in zip(people, new, strict=True)
            if each.email
        )
        links = invitations.open_links(people, entry, by_mail=by_mail) if with_links else []
    return entry, links

"""Who belongs to the studio, and what their accounts may do. Each change is one entry."""

import re
from collections.abc import Collection, Iterable
from datetime import date, datetime

from django.contrib.auth import get_user_model
from django.contrib.auth.hashers import make_password
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory import book, facts, namelessness
from inventory.book import Signed
from inventory.dates import long_day
from inventory.models import Entry, Person, Place
from inventory.refusals import Refused
from studio.people import kinds, roles, second_factor
from studio.people.models import Contact, Invitation, Mail, MailWishes, Pin
from studio.workshop.models import Workshop

User = get_user_model()

FIRST_PLACES = {
    gettext_lazy("Shelf"): Place.Kind.SHELF,
    gettext_lazy("Flammables cabinet"): Place.Kind.FLAMMABLES,
    gettext_lazy("Workbench"): Place.Kind.BENCH,
    gettext_lazy("By the tank"): Place.Kind.TANK,
}


def begin(
    workshop: Workshop, *, name: str, username: str, password: str, happened_at: datetime | None = None
) -> Person:
    """A new book: its studio, its first places and its first keyholder, in its first entry."""
    hashed = make_password(password)  # slow on purpose, so not while the book is locked
    with transaction.atomic():
        if Workshop.objects.exists():
            raise Refused(None, _("This book was begun a moment ago; open its first page again."))
        workshop.save(force_insert=True)
        keyholder = Person.objects.create(name=name, role=roles.KEYHOLDER)
        open_account(keyholder, username, hashed)
        by = Signed(done_by=keyholder, recorded_by=keyholder.account, happened_at=happened_at)
        with book.entry(kinds.BOOK_BEGUN, _("Began the book of %(workshop)s") % {"workshop": workshop}, by):
            Place.objects.bulk_create(Place(name=str(name), kind=kind) for name, kind in FIRST_PLACES.items())
    return keyholder


def list_people(names: Iterable[str], role: str, *, entry: Entry) -> list[Person]:
    """Inside an entry, whose strike takes them off the lists again; whom such a strike left behind is listed anew."""
    known = {person.name.casefold(): person for person in Person.objects.all()}
    listed = []
    for name in names:
        person = known.get(name.casefold()) or Person(name=name, is_listed=False)
        if person.is_listed:
            person = Person(name=name)
        person.check_facts()
        if person.pk is None:
            person.save()
        facts.change(person, {"is_listed": True, "role": role, "left_on": None}, entry=entry)
        known[name.casefold()] = person
        listed.append(person)
    return listed


def change_role(person: Person, *, role: str, by: Signed) -> Entry:
    """A role is one of the three; whoever signs in has exactly one."""
    return book.change(
        person,
        {"role": role},
        kind=kinds.ROLE_CHANGED,
        subject=_("%(person)s is %(role)s now") % {"person": person, "role": _(role)},
        by=by,
    )


def reach(person: Person, *, telephone: str, email: str, by: Signed) -> Entry:
    """How somebody is reached; the book says that it changed, and never to what."""
    with book.entry(kinds.CONTACT_CHANGED, _("Changed how %(person)s is reached") % {"person": person}, by) as entry:
        Contact.objects.create(entry=entry, person=person, telephone=telephone, email=email)
    return entry


def leave(person: Person, *, left_on: date, by: Signed) -> Entry:
    """The name stays beside all it stands for; nobody signs in with it any more, and what was private goes."""
    with book.entry(
        kinds.LEFT, _("%(person)s left on %(left_on)s") % {"person": person, "left_on": long_day(left_on)}, by
    ) as entry:
        facts.change(person, {"left_on": left_on}, entry=entry)
        # gone for good: not even a strike of this line brings back what was private
        Contact.objects.filter(person=person).delete()
        Pin.objects.filter(person=person).delete()
        Invitation.objects.filter(person=person).delete()
        Mail.objects.filter(person=person).delete()
        MailWishes.objects.filter(person=person).delete()
    return entry


def come_back(person: Person, *, by: Signed) -> Entry:
    return book.change(
        person, {"left_on": None}, kind=kinds.CAME_BACK, subject=_("%(person)s came back") % {"person": person}, by=by
    )


def take_name_out(person: Person, *, by: Signed, also: Collection[str] = ()) -> Entry:
    """
    Whoever left may ask that the book name them no more. Nothing brings the name back, not even a strike.

    also: what they are called in the names of jars, plates and places.
    """
    with book.entry(kinds.NAME_TAKEN_OUT, _("Took the name of somebody who left out of the book"), by) as entry:
        if not person.left_on:
            said = _("%(person)s is here. Write down first that they left.") % {"person": person}
            raise Refused(None, said, ways=[(str(person), person.get_absolute_url())])
        refuse_names_of_others(person, also)
        namelessness.take_name_out(person, _("Somebody who left (%(pk)s)") % {"pk": person.pk}, also)
        if person.account:
            nobody = {"username": f"left-{person.pk}", "first_name": "", "last_name": "", "email": ""}
            User.objects.filter(pk=person.account.pk).update(is_active=False, password=make_password(None), **nobody)
            second_factor.turn_off(person.account)
    return entry


def refuse_names_of_others(person: Person, also: Collection[str]) -> None:
    others = Person.objects.exclude(pk=person.pk).values_list("name", flat=True)
    for called in also:
        shared = next((name for name in others if re.search(rf"(?<!\w){re.escape(called)}(?!\w)", name)), None)
        if shared:
            said = _("%(name)s is called %(called)s too, and would lose the name as well.")
            raise Refused("also", said % {"name": shared, "called": called})


def end_password(person: Person) -> None:
    """Inside an entry: nothing that somebody knew or carries lets them in any more, and every stay of theirs ends."""
    Pin.objects.filter(person=person).delete()
    if person.account:
        # a session holds as long as the password that it began with
        User.objects.filter(pk=person.account.pk).update(password=make_password(None))
        second_factor.turn_off(person.account)


def open_account(person: Person, username: str, hashed_password: str) -> None:
    # two names that differ in capitals alone would be one name to whoever types them
    if User.objects.filter(username__iexact=username).exists():
        raise Refused(
            "username", _("Somebody signs in as %(username)s already; choose another name.") % {"username": username}
        )
    # the account outlives the role: struck, it belongs to the same person still, and opens nothing
    person.account = User.objects.create(username=username, password=hashed_password)
    person.save(update_fields=["account"])

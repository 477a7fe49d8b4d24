"""
The studio's tablet at the bench: a device that a keyholder has marked, where a name and a PIN are enough.

A PIN opens nothing anywhere else, and whoever came in by one is no keyholder there: four digits are soon watched.
"""

from django.conf import settings
from django.contrib.auth.hashers import make_password
from django.utils.translation import gettext as _

from inventory import book, facts
from inventory.book import Signed
from inventory.models import Entry, Person
from inventory.refusals import Refused
from studio.people import kinds
from studio.people.models import Pin, Tablet
from studio.people.sessions import TABLET

COOKIE, SALT = settings.COOKIES.format("tablet"), "studio.people.tablets"
KEPT_FOR_S = 400 * 24 * 3600  # as long as browsers keep a cookie at most
IDLE_S = 600


def mark(*, name: str, by: Signed) -> Entry:
    """This device stands at the bench from now on; `entry.tablets` knows which."""
    with book.entry(kinds.TABLET_MARKED, _("Marked %(name)s as the studio’s tablet") % {"name": name}, by) as entry:
        if Tablet.objects.in_use().filter(name__iexact=name).exists():
            raise Refused("name", _("There is a tablet called %(name)s already; choose another name.") % {"name": name})
        Tablet.objects.create(entry=entry, name=name)
    return entry


def take_off(tablet: Tablet, *, by: Signed) -> Entry:
    """It was given away, lost or is somebody's own again: no PIN opens the book on it."""
    with book.entry(
        kinds.TABLET_TAKEN_OFF, _("%(tablet)s is the studio’s tablet no more") % {"tablet": tablet}, by
    ) as entry:
        # from the moment it was lost, which may be days before somebody writes it down
        facts.change(tablet, {"ended_at": entry.happened_at}, entry=entry)
    return entry


def choose_pin(person: Person, pin: str) -> None:
    Pin.objects.update_or_create(person=person, defaults={"hashed": make_password(pin)})


def here(request) -> Tablet | None:
    """The tablet that this request comes from, by the cookie that marking it left there."""
    key = request.get_signed_cookie(COOKIE, default="", salt=SALT)
    return Tablet.objects.in_use().filter(key=key).first() if key else None


def keep_short(request) -> None:
    """A visit at the tablet ends with ten minutes of rest, however it began."""
    if tablet := here(request):
        request.session[TABLET] = tablet.pk
        request.session.set_expiry(IDLE_S)


def leave_cookie(response, tablet: Tablet) -> None:
    # signed, or a key copied from elsewhere would make a tablet of any device
    response.set_signed_cookie(
        COOKIE,
        tablet.key.hex,
        salt=SALT,
        max_age=KEPT_FOR_S,
        path=settings.SESSION_COOKIE_PATH,
        secure=settings.SESSION_COOKIE_SECURE,
        httponly=True,
        samesite="Lax",
    )

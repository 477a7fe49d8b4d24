"""
One-time links with which somebody chooses how to sign in.

The secret of a link is told once, on a slip, on a page or in a mail; the book keeps its keyed digest alone.
"""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from axes.handlers.proxy import AxesProxyHandler
from axes.helpers import get_lockout_response
from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import User
from django.contrib.auth.signals import user_login_failed
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.utils import timezone
from django.utils.crypto import get_random_string, salted_hmac
from django.utils.text import get_text_list
from django.utils.translation import gettext as _

from inventory import book, facts
from inventory.book import Signed
from inventory.dates import long_moment
from inventory.models import Entry, Person
from inventory.refusals import Refused
from studio.people import kinds, outbox, roles, second_factor
from studio.people.models import Invitation, Mail, Pin, Tablet
from studio.people.operations import end_password, open_account
from studio.people.second_factor import LETTERS

GOOD_FOR = timedelta(days=14)
SALT = "studio.people.invitations"
LENGTH = 26  # 128 bits
WHOEVER_TRIES = {"username": "a link"}  # no account has a name with a space


@dataclass(frozen=True)
class Link:
    """What is handed over: to whom, which page it opens, until when."""

    person: Person
    secret: str
    expires_at: datetime

    @property
    def path(self) -> str:
        return reverse("people:come_in", args=[self.secret])


def digest_of(secret: str) -> str:
    return salted_hmac(SALT, secret.lower(), algorithm="sha256").hexdigest()


def invite(
    people: Sequence[Person], *, by: Signed, role: str = "", by_mail: bool = False, ends_now: bool = False
) -> tuple[Entry, list[Link]]:
    """
    A link for each; whoever may do nothing yet is given the role. An older link of theirs opens nothing any more.

    ends_now: the password so far, and all beside it, ends with the link's making and not with its use.
    """
    named = get_text_list([str(person) for person in people], _("and"))
    with book.entry(kinds.INVITED, _("Invited %(named)s") % {"named": named}, by) as entry:
        for person in people:
            if person.left_on:
                raise Refused("people", _("%(person)s has left.") % {"person": person})
            if not person.role:
                if not role:
                    raise Refused("role", _("Say what %(person)s may do.") % {"person": person})
                facts.change(person, {"role": role}, entry=entry)
            if ends_now:
                end_password(person)
        links = open_links(people, entry, by_mail=by_mail)
    return entry, links


def open_links(people: Collection[Person], entry: Entry, *, by_mail: bool = False) -> list[Link]:
    """Inside an entry. Those that go by mail are told to nobody else; they are made when the mail is sent."""
    now = timezone.now()
    Invitation.objects.filter(person__in=people).open_at(now).update(taken_back_at=now)
    links = [Link(person, get_random_string(LENGTH, LETTERS), now + GOOD_FOR) for person in people]
    Invitation.objects.bulk_create(
        Invitation(entry=entry, person=link.person, digest=digest_of(link.secret), expires_at=link.expires_at)
        for link in links
    )
    mailed = [person for person in people if outbox.address_of(person)] if by_mail else []
    for invitation in Invitation.objects.filter(entry=entry, person__in=mailed).select_related("person"):
        outbox.put(Mail.INVITATION, [invitation.person], about=invitation.pk)
    return [link for link in links if link.person not in mailed]


def renew(invitation: Invitation) -> Link:
    """Another secret for an invitation that was never shown: the mail that tells it is being sent."""
    secret = get_random_string(LENGTH, LETTERS)
    Invitation.objects.filter(pk=invitation.pk).update(digest=digest_of(secret))
    return Link(invitation.person, secret, invitation.expires_at)


def count_mailed(entry: Entry) -> int:
    made = Invitation.objects.filter(entry=entry).values("pk")
    return Mail.objects.filter(kind=Mail.INVITATION, about__in=made).count()


def take_back(person: Person, *, by: Signed) -> Entry:
    with book.entry(
        kinds.INVITATION_TAKEN_BACK, _("Took back the link of %(person)s") % {"person": person}, by
    ) as entry:
        taken = Invitation.objects.filter(person=person).open_at(timezone.now()).update(taken_back_at=timezone.now())
        if not taken:
            raise Refused(None, _("No link of %(person)s is open.") % {"person": person})
    return entry


def too_many_tries(request: HttpRequest) -> HttpResponse | None:
    """Wrong links count like wrong passwords, by address; where there were too many, nothing opens for a while."""
    if AxesProxyHandler.is_allowed(request, WHOEVER_TRIES):
        return None
    answer: HttpResponse = get_lockout_response(request, WHOEVER_TRIES)
    return answer


def found(request: HttpRequest, secret: str) -> Invitation | None:
    """The invitation of a link, whether it still opens or not; none where nobody made such a link."""
    known = Invitation.objects.select_related("person__account", "entry").filter(digest=digest_of(secret)).first()
    if known is None:
        user_login_failed.send(sender=__name__, credentials=WHOEVER_TRIES, request=request)
    return known


def links_of(secrets: Collection[str]) -> list[Link]:
    """Of secrets that a page still shows, those that open something: to be printed."""
    by_digest = {digest_of(secret): secret for secret in secrets}
    known = Invitation.objects.open_at(timezone.now()).filter(digest__in=by_digest).select_related("person")
    return [Link(each.person, by_digest[each.digest], each.expires_at) for each in known.order_by("person__name")]


def why_shut(invitation: Invitation) -> str:
    """Why a link opens nothing any more; empty where it does."""
    if invitation.used_at:
        return _("This link was used on %(day)s. It opens once.") % {"day": long_moment(invitation.used_at)}
    if invitation.expires_at <= timezone.now():
        return _("This link ended on %(day)s.") % {"day": long_moment(invitation.expires_at)}
    if not Invitation.objects.open_at(timezone.now()).filter(pk=invitation.pk).exists():
        return _("This link was taken back.")
    return ""


def may_choose_pin(person: Person) -> bool:
    """A PIN opens the tablet: of a member who has no password, where the studio has a tablet."""
    has_password = person.account is not None and person.account.has_usable_password()
    return person.role == roles.MEMBER and not has_password and Tablet.objects.in_use().exists()


def accept(invitation: Invitation, *, username: str = "", password: str | None = None, pin: str = "") -> Entry:
    """Somebody chooses how they sign in: with a password, or without one by a PIN at the studio's tablet."""
    hashed = make_password(password)  # none at all where a PIN was chosen
    person = invitation.person
    with transaction.atomic():
        # one at a time, or two could choose by the same link
        still_open = Invitation.objects.select_for_update(of=("self",)).open_at(timezone.now())
        if not still_open.filter(pk=invitation.pk).exists():
            raise Refused(None, _("This link opens nothing any more. Ask a keyholder for another."))
        if is_new := person.account is None:
            open_account(person, username, hashed)
        by = Signed(done_by=person, recorded_by=person.account)
        kind, said = kinds.ACCOUNT_GIVEN, _("%(person)s opened an account by a link")
        if not is_new:
            kind, said = kinds.PASSWORD_RENEWED, _("%(person)s chose a new password by a link")
        with book.entry(kind, said % {"person": person}, by) as entry:
            if not is_new:
                assert person.account is not None
                User.objects.filter(pk=person.account.pk).update(password=hashed)
                person.account.password = hashed
                second_factor.turn_off(person.account)
            Pin.objects.filter(person=person).delete()
            if pin:
                Pin.objects.create(person=person, hashed=make_password(pin))
            Invitation.objects.filter(pk=invitation.pk).update(used_at=timezone.now())
    return entry

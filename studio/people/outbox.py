"""
Mail that leaves the book: each is a row, written with what caused it, and sent by whichever process takes it first.

A row holds neither an address nor a word of the mail: both are made when it is sent, so that nothing private waits in
it and a link's secret is told to nobody else. What could not be sent after several tries is told to the keyholders
until one of them decides; what may have been sent when a process ended is never sent again by itself.
"""

import logging
from collections.abc import Callable, Collection, Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cache

from django.conf import settings
from django.core.mail import EmailMessage, get_connection
from django.db import transaction
from django.db.models import F, QuerySet
from django.urls import reverse
from django.utils import timezone
from django.utils.module_loading import autodiscover_modules
from django.utils.translation import gettext as _

from inventory.asked_often import asked_often
from inventory.models import Person
from studio.people.models import Contact, Mail, MailWishes
from studio.server import mail_account, network
from studio.workshop.models import Workshop

log = logging.getLogger("studio.mail")
# after the first try, the second, …; then a keyholder decides
TRY_AGAIN_AFTER = [timedelta(minutes=minutes) for minutes in (1, 5, 30, 120, 600)]
LOST_AFTER = timedelta(minutes=15)  # longer than any conversation with a server
KEPT_FOR = timedelta(days=90)


@dataclass(frozen=True)
class Letter:
    """What a mail says. attachments: name, content and type of each."""

    subject: str
    text: str
    attachments: Collection[tuple[str, bytes, str]] = ()


Composer = Callable[[Mail], Letter | None]
Planner = Callable[[Workshop, datetime], None]
COMPOSERS: dict[str, Composer] = {}
PLANNERS: list[Planner] = []


def composes(kind: str) -> Callable[[Composer], Composer]:
    """Let a feature say, in its module `letters`, what mails of a kind hold; None where nothing is left to say."""

    def register(compose: Composer) -> Composer:
        COMPOSERS[kind] = compose
        return compose

    return register


def plans(planner: Planner) -> Planner:
    """Let a feature put into the outbox what is due; it is asked again and again."""
    PLANNERS.append(planner)
    return planner


@cache
def discover_letters() -> None:
    autodiscover_modules("letters")


def is_set_up() -> bool:
    return bool(settings.EMAIL_HOST)


def can_tell_addresses() -> bool:
    """Whether a mail can lead to the book; made by no request, it knows no other address of ours."""
    return bool(settings.PUBLIC_URL)


def with_address(words: str, path: str) -> str:
    """A line of a mail, with the page that it is about below it."""
    return f"{words}\n{network.public(path)}" if can_tell_addresses() else words


def put(kind: str, people: Iterable[Person], *, about: int = 0, topic: str = "") -> None:
    """For each of them a mail, in the transaction of what causes it; a topic is told to nobody twice."""
    # before they are looked for: where no mail is sent, nobody's wishes are asked
    if is_set_up():
        rows = (Mail(kind=kind, person=person, about=about, topic=topic, next_at=timezone.now()) for person in people)
        Mail.objects.bulk_create(rows, ignore_conflicts=bool(topic))


def who_wants(kind: str) -> "Iterator[Person]":
    """Those who chose mails of a kind and are here."""
    return Person.objects.here().filter(mail_wishes__kinds__contains=f",{kind},").iterator()


def plan(now: datetime) -> None:
    """What is due is put into the outbox, by whichever process finds it first, and what is old goes."""
    workshop = Workshop.objects.first()
    if workshop is None or workshop.is_demo or not is_set_up():
        return
    discover_letters()
    with timezone.override(workshop.time_zone):
        for planner in PLANNERS:
            planner(workshop, now)
    Mail.objects.filter(written_at__lt=now - KEPT_FOR).exclude(sent_at=None, left_at=None).delete()


def deliver(now: datetime) -> None:
    """All that waits is sent."""
    workshop = Workshop.objects.first()
    if workshop is None or not is_set_up():
        return
    with timezone.override(workshop.time_zone):
        give_up_lost(now)
        while mail := take(timezone.now()):
            send(mail)


def take(now: datetime, pk: int | None = None) -> Mail | None:
    """The next mail that is due, taken: nobody else sends it."""
    due = Mail.objects.waiting().filter(next_at__lte=now, taken_at=None)
    due = due if pk is None else due.filter(pk=pk)
    # asked first: on SQLite a transaction keeps everybody else from writing
    if not due.exists():
        return None
    with transaction.atomic():
        mail = due.select_for_update(skip_locked=True, of=("self",)).order_by("next_at", "pk").first()
        if mail is not None:
            Mail.objects.filter(pk=mail.pk).update(taken_at=now, tries=F("tries") + 1)
            mail.tries += 1
    return mail


def give_up_lost(now: datetime) -> None:
    """Taken, and never heard of again: it may have arrived, so it is not sent a second time by itself."""
    lost = Mail.objects.waiting().filter(taken_at__lt=now - LOST_AFTER)
    why = _("The book was closed while this was on its way; it may have arrived.")
    lost.update(failed_at=now, given_up_at=now, error=why)


def send(mail: Mail) -> None:
    """Outside of any transaction: a server may take seconds to answer."""
    discover_letters()
    try:
        letter = COMPOSERS[mail.kind](mail)
        address = address_of(mail.person)
        if letter is None:
            return close(mail, left_at=timezone.now())
        if not address:
            return fail(mail, _("No address for mail is written down."), for_good=True)
        hand_over(message_of(letter, mail, address))
    # whatever it is, it is told and tried again: a mail that nobody hears of is the one fault there must not be
    except Exception as error:
        log.warning("mail %s was not sent: %s", mail.pk, type(error).__name__)
        if not isinstance(error, OSError):  # of which all that a server says is one
            log.exception("mail %s could not be put together", mail.pk)
        fail(mail, mail_account.explain(error, settings.MAIL), for_good=mail_account.is_for_good(error))
    else:
        close(mail, sent_at=timezone.now(), error="")


def hand_over(message: EmailMessage) -> None:
    message.connection = get_connection()
    try:
        message.send()
    finally:
        # left open where the server and the book could not agree; that failure is what is told
        with suppress(OSError):
            message.connection.close()


def message_of(letter: Letter, mail: Mail, address: str) -> EmailMessage:
    host = mail_account.domain_of(settings.DEFAULT_FROM_EMAIL)
    # the same whenever it is sent, so that whoever gets it twice after all can tell
    headers = {"Message-ID": f"<{mail.key}@{host}>", "Auto-Submitted": "auto-generated"}
    text = letter.text
    if mail.is_chosen:
        where = network.public(reverse("people:mail")) if can_tell_addresses() else _("People, “What I am mailed”")
        text += "\n\n-- \n" + _("You chose these mails. To get no more of them: %(where)s") % {"where": where} + "\n"
        if can_tell_addresses():
            headers["List-Unsubscribe"] = f"<{where}>"
    message = EmailMessage(letter.subject, text, to=[address], headers=headers)
    for attachment in letter.attachments:
        message.attach(*attachment)
    return message


def address_of(person: Person) -> str:
    known = Contact.objects.current(person)
    return known.email if known and person.left_on is None else ""


def fail(mail: Mail, why: str, *, for_good: bool) -> None:
    now, tried = timezone.now(), mail.tries - 1
    if for_good or tried >= len(TRY_AGAIN_AFTER):
        close(mail, failed_at=now, error=why, given_up_at=now)
    else:
        close(mail, failed_at=now, error=why, next_at=now + TRY_AGAIN_AFTER[tried])


def close(mail: Mail, **known: object) -> None:
    Mail.objects.filter(pk=mail.pk).update(taken_at=None, **known)
    for name, value in known.items():
        setattr(mail, name, value)


def test(person: Person) -> Mail:
    """A mail to whoever asks, sent while they wait; the row says how it went."""
    mail = Mail.objects.create(kind=Mail.TEST, person=person, next_at=timezone.now())
    taken = take(timezone.now(), mail.pk)
    if taken:
        send(taken)
        if taken.given_up_at is None and taken.sent_at is None:
            # whoever asked has been told; it is not to come at night
            close(taken, left_at=timezone.now())
    mail.refresh_from_db()
    return mail


def send_again(mail: Mail) -> None:
    Mail.objects.filter(pk=mail.pk).update(given_up_at=None, taken_at=None, tries=0, next_at=timezone.now())


def leave(mail: Mail) -> None:
    """A keyholder has seen that it was not sent, and it stays so."""
    Mail.objects.filter(pk=mail.pk).update(left_at=timezone.now())


def choose(person: Person, kinds: Collection[str]) -> None:
    """What somebody is mailed from now on; what waits of other kinds is not sent any more."""
    if kinds:
        MailWishes.objects.update_or_create(person=person, defaults={"kinds": f",{','.join(kinds)},"})
    else:
        MailWishes.objects.filter(person=person).delete()
    unwanted = Mail.objects.waiting().filter(person=person, kind__in=set(Mail.CHOICES) - set(kinds), taken_at=None)
    unwanted.update(left_at=timezone.now())


def unsent() -> int:
    """How many mails wait for a keyholder's decision, and how many for an account that is not there any more."""
    return len(given_up() if is_set_up() else given_up_or_waiting())


@asked_often  # each time the bench is opened
def given_up() -> QuerySet[Mail, int]:
    return Mail.objects.given_up().values_list("pk", flat=True)


@asked_often
def given_up_or_waiting() -> QuerySet[Mail, int]:
    return (Mail.objects.given_up() | Mail.objects.waiting()).values_list("pk", flat=True)

"""Who was shown what, as long as its entry stands; who opens the tablet, and how people are reached."""

import uuid
from datetime import datetime
from hashlib import sha256
from typing import ClassVar

from django.contrib.auth.hashers import check_password
from django.contrib.auth.models import User
from django.contrib.sessions.base_session import AbstractBaseSession, BaseSessionManager
from django.db import models
from django.db.models import Count, Max, OuterRef, Q, QuerySet, Subquery
from django.urls import reverse
from django.utils import timezone
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django_otp.models import Device, ThrottlingMixin

from inventory.asked_often import asked_often
from inventory.dates import long_day
from inventory.models import AuditedModel, AuditedQuerySet, Entry, EntryLine, EntryLineQuerySet, Person
from studio.people.sessions import LONGEST_STAY


class InductionQuerySet(EntryLineQuerySet["Induction"]):
    def latest_at(self, moment):
        """The last word on each person and task by then: a newer induction takes the place of an older one."""
        known = self.standing_at(moment)
        same = known.filter(person=OuterRef("person"), task=OuterRef("task"))
        return known.filter(pk=Subquery(same.order_by("-entry__happened_at", "-pk").values("pk")[:1]))

    def valid_at(self, moment):
        return self.latest_at(moment).filter(Q(until_on=None) | Q(until_on__gte=timezone.localdate(moment)))


class Induction(EntryLine):
    """Somebody was shown how a thing is done here; `entry.done_by` showed it."""

    tells_of = "person"
    columns = {"Who": "person", "For": "task", "Until": "until_on", "Shown by": "entry__done_by"}

    class Task(models.TextChoices):
        BATH = "bath", gettext_lazy("the bath")
        SOLVENTS = "solvents", gettext_lazy("solvents")
        CUTTING = "cutting", gettext_lazy("cutting copper")

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="inductions")
    task = models.CharField(max_length=10, choices=Task)
    until_on = models.DateField(null=True, blank=True, help_text="Its last day; empty when it does not end.")

    objects: ClassVar = InductionQuerySet.as_manager()

    class Meta:
        ordering = ["entry__happened_at", "pk"]
        constraints = [
            models.CheckConstraint(
                name="inducted_for_a_known_task", condition=Q(task__in=("bath", "solvents", "cutting"))
            )
        ]

    def __str__(self):
        return f"{self.get_task_display()}, {self.ends}"

    @property
    def ends(self) -> str:
        return _("until %(until_on)s") % {"until_on": long_day(self.until_on)} if self.until_on else _("without an end")

    @property
    def how(self) -> str:
        return _("inducted for %(self)s") % {"self": self}


class TabletQuerySet(AuditedQuerySet["Tablet"]):
    def in_use(self):
        return self.filter(ended_at=None, entry__struck_at=None)


class Tablet(AuditedModel):
    """A device at the bench that people open with a PIN; its key lies in a signed cookie there."""

    KEPT_BY_CODE = ("entry", "key")

    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="tablets")
    name = models.CharField(gettext_lazy("name"), max_length=60)
    key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    ended_at = models.DateTimeField(null=True, blank=True)

    objects: ClassVar = TabletQuerySet.as_manager()

    class Meta:
        ordering = ["name"]

    def __str__(self):
        return self.name

    def get_absolute_url(self):
        return reverse("people:tablets")


class Pin(models.Model):
    """What somebody types at the tablet, kept as passwords are."""

    person = models.OneToOneField(Person, on_delete=models.CASCADE, related_name="pin")
    hashed = models.CharField(max_length=128)

    def __str__(self):
        return _("PIN of %(person)s") % {"person": self.person}


class CodesOnPaper(ThrottlingMixin, Device):
    """What opens the book beside a password when the telephone is not at hand; wrong ones cost ever more time."""

    def get_throttle_factor(self) -> int:
        return 1

    def verify_token(self, token: str) -> bool:
        may_try, _reason = self.verify_is_allowed()
        code = next((each for each in self.codes.all() if may_try and check_password(token, each.hashed)), None)
        if code:
            code.delete()
            self.throttle_reset()
        elif may_try:
            self.throttle_increment()
        return code is not None


class CodeOnPaper(models.Model):
    """One that was not used yet, kept as passwords are."""

    paper = models.ForeignKey(CodesOnPaper, on_delete=models.CASCADE, related_name="codes")
    hashed = models.CharField(max_length=128)

    def __str__(self):
        return _("A code on the paper of %(account)s") % {"account": self.paper.user}


class InvitationQuerySet(models.QuerySet):
    def open_at(self, moment):
        """Those whose link opens something: not used, not taken back, not over, and of somebody who is here."""
        here = {"person__left_on": None, "person__is_listed": True}
        return self.filter(
            used_at=None, taken_back_at=None, expires_at__gt=moment, entry__struck_at=None, **here
        ).exclude(person__role="")


class Invitation(models.Model):
    """A link with which somebody chooses, once, how to sign in; of its secret only the digest is kept."""

    # a plain key, as a contact's: it is no line of the book
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="invitations")
    digest = models.CharField(max_length=64, unique=True)
    expires_at = models.DateTimeField()
    used_at = models.DateTimeField(null=True, blank=True)
    taken_back_at = models.DateTimeField(null=True, blank=True)

    objects: ClassVar = InvitationQuerySet.as_manager()

    def __str__(self):
        return _("link of %(person)s") % {"person": self.person}


class ContactQuerySet(models.QuerySet):
    def current(self, person):
        """How somebody is reached now: the last that was written down and not struck."""
        return self.filter(person=person, entry__struck_at=None).order_by("entry__happened_at", "entry_id").last()


class Contact(models.Model):
    """
    How somebody is reached: for themselves and the keyholders; on no paper, in no export, on no open page.

    What it was before stands beside it, and all of it goes when the person leaves; so it is no line of the book.
    """

    # a plain key: as a line it would be told on the entry's page and taken along with the book
    entry = models.ForeignKey(Entry, on_delete=models.PROTECT, related_name="+")
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="contacts")
    telephone = models.CharField(max_length=60, blank=True)
    email = models.EmailField(blank=True)

    objects = ContactQuerySet.as_manager()

    def __str__(self):
        return " · ".join(filter(None, (self.telephone, self.email)))


class MailWishes(models.Model):
    """Which mails somebody chose; none until they do, and none after they leave."""

    person = models.OneToOneField(Person, on_delete=models.CASCADE, related_name="mail_wishes")
    kinds = models.CharField(max_length=100, help_text="Between commas, with one at either end.")

    def __str__(self):
        return self.kinds


class MailQuerySet(models.QuerySet):
    def waiting(self):
        return self.filter(sent_at=None, given_up_at=None, left_at=None)

    def given_up(self):
        """Not sent, and no keyholder has decided yet what becomes of it."""
        return self.filter(left_at=None).exclude(given_up_at=None)

    def summary(self):
        """How mail goes, in one question: when one was sent and one failed last, and how many are not sent."""
        open_ones = Q(sent_at=None, left_at=None)
        return self.aggregate(
            last_sent_at=Max("sent_at"),
            last_failed_at=Max("failed_at"),
            waiting=Count("pk", filter=open_ones & Q(given_up_at=None)),
            given_up=Count("pk", filter=open_ones & Q(given_up_at__isnull=False)),
        )


class Mail(models.Model):
    """
    A mail to be sent, on its way, sent or given up; what it says is made when it is sent.

    about: the row that it is about, if any. topic: what nobody is told twice, such as a week. taken_at: by whoever
    sends it. left_at: there was nothing to say any more, or a keyholder lets it be.
    """

    TEST, INVITATION, ORDER, DIGEST, REMINDERS = "test", "invitation", "order", "digest", "reminders"
    CHOICES: ClassVar = {
        DIGEST: gettext_lazy("on Mondays, what needs a hand"),
        REMINDERS: gettext_lazy("what comes due: waste, use-by, inductions of mine"),
        ORDER: gettext_lazy("what was ordered"),
    }
    WORDS: ClassVar = {
        TEST: gettext_lazy("test"),
        INVITATION: gettext_lazy("invitation"),
        ORDER: gettext_lazy("order"),
        DIGEST: gettext_lazy("what needs a hand"),
        REMINDERS: gettext_lazy("what comes due"),
    }

    key = models.UUIDField(default=uuid.uuid4, unique=True, editable=False)
    kind = models.CharField(max_length=20)
    person = models.ForeignKey(Person, on_delete=models.CASCADE, related_name="mails")
    about = models.BigIntegerField(default=0)
    topic = models.CharField(max_length=20, blank=True)
    written_at = models.DateTimeField(default=timezone.now)
    next_at = models.DateTimeField()
    tries = models.PositiveSmallIntegerField(default=0)
    taken_at = models.DateTimeField(null=True)
    sent_at = models.DateTimeField(null=True)
    failed_at = models.DateTimeField(null=True)
    error = models.CharField(max_length=200, blank=True)
    given_up_at = models.DateTimeField(null=True)
    left_at = models.DateTimeField(null=True)

    objects: ClassVar = MailQuerySet.as_manager()

    class Meta:
        constraints = [
            models.UniqueConstraint(
                name="nobody_is_told_twice", fields=["person", "kind", "topic"], condition=~Q(topic="")
            )
        ]
        indexes = [
            models.Index(
                name="mail_to_be_sent",
                fields=["next_at"],
                condition=Q(sent_at=None, given_up_at=None, left_at=None),
            ),
            models.Index(name="mail_not_sent", fields=["given_up_at"], condition=Q(left_at=None, sent_at=None)),
        ]

    def __str__(self):
        return str(self.WORDS.get(self.kind, self.kind))

    @property
    def is_chosen(self) -> bool:
        """Whether it comes because somebody chose such mails, and may choose them no more."""
        return self.kind in self.CHOICES


class SessionManager(BaseSessionManager):
    def get_queryset(self):
        stays = super().get_queryset().select_related("account__person")
        # at a device that is the studio's tablet no more, whatever was opened there is shut
        return stays.filter(Q(tablet=None) | Q(tablet__ended_at=None, tablet__entry__struck_at=None))

    def lasting(self):
        return self.filter(expire_date__gt=timezone.now(), began_at__gt=timezone.now() - LONGEST_STAY)


class Session(AbstractBaseSession):
    """Somebody's stay, from signing in to signing out, in one browser."""

    account = models.ForeignKey(User, null=True, on_delete=models.CASCADE, related_name="sessions")
    tablet = models.ForeignKey(Tablet, null=True, on_delete=models.CASCADE, related_name="sessions")
    began_at = models.DateTimeField()
    seen_at = models.DateTimeField(auto_now=True, help_text="To the hour: each sign of life would be a write.")
    device = models.CharField(max_length=40, blank=True)

    objects: ClassVar = SessionManager()

    @property
    def handle(self) -> str:
        """Names the stay on a page, which must not hold its key."""
        return sha256(self.session_key.encode()).hexdigest()[:16]

    def __str__(self):
        return _("A browser on %(device)s") % {"device": self.device} if self.device else _("A browser")


@asked_often
def stays_of(key: str, now: datetime, earliest: datetime) -> QuerySet[Session]:
    """With the account and the person, for every page asks for them."""
    return Session.objects.filter(session_key=key, expire_date__gt=now, began_at__gt=earliest)

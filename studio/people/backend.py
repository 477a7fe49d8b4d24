"""How somebody signs in, how a password is kept, and who is slowed down at the door."""

from axes.attempts import get_cool_off_threshold
from axes.handlers.database import AxesDatabaseHandler
from axes.models import AccessAttempt
from django.contrib.auth import get_user_model
from django.contrib.auth.backends import ModelBackend
from django.contrib.auth.hashers import Argon2PasswordHasher, check_password
from django.db.models import Sum

from studio.people.models import Pin
from studio.people.sessions import take_account

LOOSER = 10


class BookBackend(ModelBackend):
    """Takes the account with the person it belongs to from its session; who left signs in no more."""

    def get_user(self, user_id):
        user = take_account(user_id) or get_user_model().objects.select_related("person").filter(pk=user_id).first()
        return user if user and self.user_can_authenticate(user) else None

    def user_can_authenticate(self, user):
        # an account that belongs to nobody is told so by the form
        person = getattr(user, "person", None)
        return super().user_can_authenticate(user) and (person is None or person.signs_in)


class PinBackend(BookBackend):
    """Opens the tablet by PIN; a keyholder who came in so does what a member may."""

    def authenticate(self, request, username=None, pin=None):
        # the hash is slow, but four digits are few: the throttle is what stops a guesser
        known = Pin.objects.select_related("person__account").filter(person__account__username=username).first()
        if known and check_password(pin, known.hashed) and self.user_can_authenticate(known.person.account):
            return known.person.account
        return None

    def get_user(self, user_id):
        user = super().get_user(user_id)
        if user:
            user.is_at_tablet = True
        return user


class Throttle(AxesDatabaseHandler):
    """
    Counts wrong tries by name and address together and, ten times looser, by address alone.

    So a whole studio behind one address can mistype, while whoever guesses at many names from one address is slowed.
    """

    def get_failures(self, request, credentials=None):
        tried = AccessAttempt.objects.filter(
            ip_address=request.axes_ip_address, attempt_time__gte=get_cool_off_threshold(request)
        )
        of_address = tried.aggregate(failures=Sum("failures_since_start", default=0))["failures"]
        return max(super().get_failures(request, credentials), of_address // LOOSER)


class SmallMachineArgon2(Argon2PasswordHasher):
    """
    Argon2id with 19 MiB, two passes and one lane, so that a small machine can check eight sign-ins at once.

    Source: OWASP Password Storage Cheat Sheet, Argon2id minimum (from memory).
    """

    time_cost = 2
    memory_cost = 19_456  # KiB
    parallelism = 1

from django.contrib.auth import get_user_model
from django.contrib.auth.backends import ModelBackend
from django.contrib.auth.hashers import check_password

from studio.people.models import Pin


class BookBackend(ModelBackend):
    """Loads the account with the person it belongs to in one query; who left signs in no more."""

    def get_user(self, user_id):
        user = get_user_model().objects.select_related("person").filter(pk=user_id).first()
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

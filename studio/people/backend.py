from django.contrib.auth import get_user_model
from django.contrib.auth.backends import ModelBackend

from studio.people.roles import role_of


class BookBackend(ModelBackend):
    """Loads the account, the person it belongs to and the role in one query."""

    def get_user(self, user_id):
        accounts = get_user_model().objects.select_related("person").annotate(role=role_of("pk"))
        user = accounts.filter(pk=user_id).first()
        return user if user and self.user_can_authenticate(user) else None

from django.contrib.auth import get_user_model
from django.contrib.auth.backends import ModelBackend
from django.db.models import Exists, OuterRef

from studio.people.roles import KEYHOLDER


class BookBackend(ModelBackend):
    """Loads the account, the person it belongs to and the role in one query."""

    def get_user(self, user_id):
        user_model = get_user_model()
        keyholders = user_model.groups.through.objects.filter(user=OuterRef("pk"), group__name=KEYHOLDER)
        accounts = user_model.objects.select_related("person").annotate(is_keyholder=Exists(keyholders))
        user = accounts.filter(pk=user_id).first()
        return user if user and self.user_can_authenticate(user) else None

from django.apps import AppConfig


class CathodesConfig(AppConfig):
    name = "studio.cathodes"
    default_auto_field = "django.db.models.BigAutoField"

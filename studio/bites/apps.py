from django.apps import AppConfig


class BitesConfig(AppConfig):
    name = "studio.bites"
    default_auto_field = "django.db.models.BigAutoField"

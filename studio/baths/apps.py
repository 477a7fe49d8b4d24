from django.apps import AppConfig


class BathsConfig(AppConfig):
    name = "studio.baths"
    default_auto_field = "django.db.models.BigAutoField"

from django.apps import AppConfig


class WasteConfig(AppConfig):
    name = "studio.waste"
    default_auto_field = "django.db.models.BigAutoField"

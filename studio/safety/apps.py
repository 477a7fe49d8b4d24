from django.apps import AppConfig


class SafetyConfig(AppConfig):
    name = "studio.safety"
    default_auto_field = "django.db.models.BigAutoField"

from django.apps import AppConfig


class HazardsConfig(AppConfig):
    name = "studio.hazards"
    default_auto_field = "django.db.models.BigAutoField"

from django.apps import AppConfig


class BookConfig(AppConfig):
    name = "studio.book"
    default_auto_field = "django.db.models.BigAutoField"

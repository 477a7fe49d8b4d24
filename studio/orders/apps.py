from django.apps import AppConfig


class OrdersConfig(AppConfig):
    name = "studio.orders"
    default_auto_field = "django.db.models.BigAutoField"

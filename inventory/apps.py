from django.apps import AppConfig
from django.utils.module_loading import autodiscover_modules


class InventoryConfig(AppConfig):
    name = "inventory"

    def ready(self) -> None:
        # every feature declares what it writes before anything is read or written
        autodiscover_modules("kinds")

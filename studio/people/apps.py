from django.apps import AppConfig


class PeopleConfig(AppConfig):
    name = "studio.people"

    def ready(self) -> None:
        # it listens to who signs in, whichever way they come
        from studio.people import door  # noqa: F401

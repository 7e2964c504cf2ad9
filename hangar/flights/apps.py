from django.apps import AppConfig


class FlightsConfig(AppConfig):
    name = "hangar.flights"

    def ready(self) -> None:
        from .watching import watch

        watch()

from django.apps import AppConfig


class KeepingConfig(AppConfig):
    name = "hangar.keeping"

    def ready(self) -> None:
        # Registers its system checks.
        from . import checks  # noqa: F401

from django.apps import AppConfig


class LanguagesConfig(AppConfig):
    name = "hangar.languages"

    def ready(self) -> None:
        """From here on the computation, too, speaks as the page that is being made does."""
        from mixing import language

        from .speaking import spoken

        language.follow(spoken)

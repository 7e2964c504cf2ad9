from django.apps import AppConfig


class LanguagesConfig(AppConfig):
    name = "hangar.languages"

    def ready(self) -> None:
        """From here on the computation, too, speaks as the page that is being made does, and forms in our words."""
        from mixing import language

        from .empty_boxes import told_in_our_words
        from .speaking import spoken

        language.follow(spoken)
        told_in_our_words()

from django.apps import AppConfig


class SheetsConfig(AppConfig):
    name = "hangar.sheets"

    def ready(self) -> None:
        from django.db.models.signals import post_delete

        from hangar.members.models import PersonalName

        from .erasing import forget

        # The members' package, which erases, cannot know of sheets.
        post_delete.connect(forget, sender=PersonalName, dispatch_uid="hangar.sheets.erasing")

from django.apps import AppConfig


class MembersConfig(AppConfig):
    name = "hangar.members"

    def ready(self) -> None:
        from django.contrib.auth.signals import user_logged_in

        from .visits import remember

        def note(request: object, user: object, **_: object) -> None:
            remember(request, user)  # type: ignore[arg-type]

        user_logged_in.connect(note, weak=False, dispatch_uid="hangar.members.visits")

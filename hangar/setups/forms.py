"""Forms about revisions: the reason, an import, what was entered, and checks of failsafe and range."""

from typing import Any

from django import forms
from django.db.models import Exists, OuterRef
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, pgettext_lazy

from hangar.choosing import OFFERED, offer
from hangar.fleet.choices import AIRFRAMES, offer_transmitters
from hangar.fleet.models import Airframe, CheckKind, Transmitter
from hangar.members.models import Member
from hangar.pictures.words import plain
from mixing.reading import LARGEST_TEXT

from .errors import ReasonError
from .models import REASON_LENGTH, Revision
from .operations import checked_reason


class ReasonForm(forms.Form):
    reason = forms.CharField(
        label=gettext_lazy("Reason"), max_length=REASON_LENGTH, widget=forms.TextInput(attrs={"autocomplete": "off"}),
        help_text=gettext_lazy("What changes, and why. It is permanent: do not name people in it."),
        error_messages={"required": gettext_lazy("Give a reason: what changes, and why. It is permanent.")},
    )  # fmt: skip

    def clean_reason(self) -> str:
        try:
            return checked_reason(self.cleaned_data["reason"])
        except ReasonError as error:
            raise forms.ValidationError(str(error)) from error


class ImportForm(ReasonForm):
    document = forms.FileField(
        label=gettext_lazy("Setup document"), help_text=gettext_lazy("A JSON file of schema 1, 1 MiB at most."),
        error_messages={
            "required": gettext_lazy("Choose the file."),
            "empty": gettext_lazy("This file is empty; choose a setup document."),
        },
    )  # fmt: skip
    field_order = ["document", "reason"]

    def clean_document(self) -> bytes:
        upload = self.cleaned_data["document"]
        if upload.size > LARGEST_TEXT:
            told = _("This file has {size} MiB; a setup is at most 1 MiB.")
            raise forms.ValidationError(told.format(size=plain(upload.size / 1024 / 1024)))
        content: bytes = upload.read()
        return content


class SisterForm(forms.Form):
    """Which airframe has the throws to begin with."""

    sister = forms.ModelChoiceField(
        Airframe.objects.none(), label=gettext_lazy("With the throws of"), to_field_name="slug",
        empty_label=gettext_lazy("Choose an airframe"),
        error_messages={
            "required": gettext_lazy("Choose the airframe whose throws to take."),
            "invalid_choice": gettext_lazy("There is no such airframe with a setup; choose one of the list."),
        },
    )  # fmt: skip

    def __init__(self, *args: Any, user: Member, airframe: Airframe, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        of_this = Revision.objects.filter(airframe=OuterRef("pk"))
        recorded = Airframe.objects.visible_to(user).filter(Exists(of_this)).exclude(pk=airframe.pk)
        own = recorded.filter(owner__in=[user.pk, airframe.owner_id])
        offer(self, "sister", every=recorded, likely=own[:OFFERED], naming=AIRFRAMES)


class EnterForm(forms.Form):
    """Which revision was entered on which transmitter."""

    revision = forms.TypedChoiceField(label=gettext_lazy("Revision"), coerce=int)
    transmitter = forms.ModelChoiceField(
        Transmitter.objects.none(), label=gettext_lazy("Transmitter"), empty_label=gettext_lazy("Choose a transmitter"),
        error_messages={"required": gettext_lazy("Choose the transmitter on which it was entered.")},
    )  # fmt: skip
    model_memory = forms.CharField(
        label=gettext_lazy("Model memory"), max_length=60,
        help_text=gettext_lazy("The name under which the transmitter keeps this model."),
        error_messages={"required": gettext_lazy("Give the name of the model memory.")},
    )  # fmt: skip

    def __init__(self, *args: Any, user: Member, airframe: Airframe, numbers: list[int], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_transmitters(self, user, airframe)
        self.fields["revision"].choices = [  # type: ignore[attr-defined]
            (n, _("revision {number}").format(number=n)) for n in numbers
        ]


class CheckForm(forms.Form):
    """A check made at the model."""

    kind = forms.ChoiceField(
        label=gettext_lazy("What was checked"), choices=CheckKind.choices, widget=forms.RadioSelect
    )
    transmitter = forms.ModelChoiceField(
        Transmitter.objects.none(), label=gettext_lazy("With the transmitter"),
        empty_label=gettext_lazy("Choose a transmitter"),
        error_messages={"required": gettext_lazy("Choose the transmitter with which it was checked.")},
    )  # fmt: skip
    passed = forms.TypedChoiceField(
        label=gettext_lazy("The check"), widget=forms.RadioSelect, coerce=lambda value: value == "yes",
        choices=[("yes", gettext_lazy("was passed")), ("no", gettext_lazy("was not passed"))],
    )  # fmt: skip
    note = forms.CharField(
        label=pgettext_lazy("remark", "Note"), max_length=300, required=False,
        help_text=gettext_lazy("Such as the distance, or what failed."),
    )  # fmt: skip

    def __init__(self, *args: Any, user: Member, airframe: Airframe, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_transmitters(self, user, airframe)

"""Forms about flying: a test flight, grounding and release, rolling back."""

import datetime
from typing import Any

from django import forms
from django.db.models import Q
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from hangar.choosing import OFFERED, offer
from hangar.members.choices import MEMBERS
from hangar.members.models import Member
from hangar.setups.forms import ReasonForm
from hangar.setups.models import Revision
from mixing.wording import throw_words

from .models import Condition, Grounding, Verdict
from .reasons import in_words


def checked_day(day: datetime.date, to_come: str) -> datetime.date:
    """A day on which something was done; `to_come`, with its {date}, says what is wrong with one still ahead."""
    if day > timezone.localdate():
        raise forms.ValidationError(to_come.format(date=date_format(day, "DATE_FORMAT")))
    if day.year < 1900:
        raise forms.ValidationError(_("Give a day of our time, such as 2026-05-01."))
    return day


class FlightForm(forms.Form):
    """What a flight showed: to be filled in standing, on a phone. `numbers` are the revisions to choose from."""

    revision = forms.TypedChoiceField(label=gettext_lazy("Flown was"), coerce=int)
    load = forms.ChoiceField(label=gettext_lazy("Flown with"), widget=forms.RadioSelect)
    observation = forms.CharField(
        label=gettext_lazy("What was seen"), required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 2}),
    )  # fmt: skip
    verdict = forms.ChoiceField(
        label=gettext_lazy("The setup: verdict"), choices=Verdict.choices, widget=forms.RadioSelect,
        error_messages={"required": gettext_lazy("Give a verdict: keep, tweak or reject.")},
    )  # fmt: skip
    condition_after = forms.ChoiceField(
        label=gettext_lazy("The model afterwards"), choices=Condition.choices, initial=Condition.SOUND,
        widget=forms.RadioSelect, help_text=gettext_lazy("The last two ground it."),
    )  # fmt: skip
    reason = forms.CharField(
        label=gettext_lazy("Why tweak or reject"), required=False, max_length=500,
        help_text=gettext_lazy("Needed for these two verdicts."),
    )  # fmt: skip
    wind = forms.CharField(label=gettext_lazy("Wind"), required=False, max_length=120)
    flown_on = forms.DateField(
        label=gettext_lazy("Flown on"), widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    pilot = forms.ModelChoiceField(Member.objects.none(), label=gettext_lazy("Pilot"), empty_label=None)

    def __init__(
        self, *args: Any, user: Member, revision: Revision, numbers: list[tuple[int, str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["revision"].choices = numbers  # type: ignore[attr-defined]
        self.fields["revision"].initial = revision.number
        example = _("Such as: at half brake it needed {throw}.").format(throw=throw_words(3, "elevator"))
        self.fields["observation"].help_text = example
        loads = [(load.key, load.label) for load in revision.setup.balance.loads]
        self.fields["load"].choices = loads  # type: ignore[attr-defined]
        self.fields["flown_on"].initial = timezone.localdate
        members = Member.objects.filter(is_active=True).select_related("personal")
        near = Q(helped_airframes=revision.airframe_id) | Q(pk__in=[user.pk, revision.airframe.owner_id])
        offer(self, "pilot", every=members, likely=members.filter(near).distinct()[:OFFERED], naming=MEMBERS)

    def clean_flown_on(self) -> datetime.date:
        return checked_day(self.cleaned_data["flown_on"], _("{date} is still to come; give the day when it was flown."))

    def clean(self) -> None:
        if "load" in self.errors and "revision" in self.cleaned_data:
            self.errors["load"].clear()
            choices = self.fields["load"].choices  # type: ignore[attr-defined]
            text = _("Say with which load of revision {number}: {loads}.")
            loads = _(" or ").join(str(label) for _key, label in choices)
            self.add_error("load", text.format(number=self.cleaned_data["revision"], loads=loads))
        judged = self.cleaned_data.get("verdict") in (Verdict.TWEAK, Verdict.REJECT)
        if judged and not self.cleaned_data.get("reason", "").strip():
            self.add_error("reason", _("Say what has to change, or why it is rejected."))


class GroundForm(forms.Form):
    reason = forms.CharField(
        label=gettext_lazy("Reason"), max_length=500,
        error_messages={"required": gettext_lazy("Say why it must not fly.")},
    )  # fmt: skip
    second_person = forms.BooleanField(
        label=gettext_lazy("A second person has to release it"), required=False,
        help_text=gettext_lazy(
            "For a first flight or after a rebuild: neither the owner nor a helper may release it then."
        ),
    )  # fmt: skip


class ReleaseForm(forms.Form):
    grounding = forms.ModelChoiceField(
        Grounding.objects.none(), label=gettext_lazy("Released from"), empty_label=None, widget=forms.RadioSelect
    )
    reason = forms.CharField(
        max_length=500, label=gettext_lazy("Why it may fly again"),
        error_messages={"required": gettext_lazy("Say what was looked at or mended.")},
    )  # fmt: skip

    def __init__(self, *args: Any, open_ones: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["grounding"].queryset = open_ones  # type: ignore[attr-defined]
        self.fields["grounding"].label_from_instance = _grounding_told  # type: ignore[attr-defined]
        if len(open_ones) == 1:
            self.fields["grounding"].initial = open_ones[0]


def _grounding_told(one: Grounding) -> str:
    return _("{reason} (by {member})").format(reason=in_words([one.why])[0], member=one.by)


class DayForm(forms.Form):
    """A day of the past: what was so at its end."""

    on = forms.DateField(
        label=gettext_lazy("As it was on"), widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={
            "required": gettext_lazy("Give a day, such as 2026-05-01."),
            "invalid": gettext_lazy("Give a day, such as 2026-05-01."),
        },
    )  # fmt: skip

    def clean_on(self) -> datetime.date:
        return checked_day(self.cleaned_data["on"], _("{date} is still to come; give a day that has come."))


class RollBackForm(ReasonForm):
    """The reason, and of each part that is built otherwise now, whether it was put back."""

    put_back = forms.MultipleChoiceField(
        label=gettext_lazy("Put back on the model"), required=False, widget=forms.CheckboxSelectMultiple,
        help_text=gettext_lazy("Tick a part only if it is on the model again as it was then."),
    )  # fmt: skip
    field_order = ["put_back", "reason"]

    def __init__(self, *args: Any, parts: Any = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["put_back"].choices = [(part.path, part.words) for part in parts]  # type: ignore[attr-defined]
        if not parts:
            del self.fields["put_back"]

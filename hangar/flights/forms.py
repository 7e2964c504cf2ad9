"""Forms about flying: a test flight, grounding and release, rolling back."""

from typing import Any

from django import forms
from django.utils import timezone

from hangar.members.models import Member
from hangar.setups.forms import ReasonForm
from hangar.setups.models import Revision

from .models import Condition, Grounding, Verdict


class FlightForm(forms.Form):
    """What a flight showed: to be filled in standing, on a phone. `numbers` are the revisions to choose from."""

    revision = forms.TypedChoiceField(label="Flown was", coerce=int)
    load = forms.ChoiceField(label="Flown with", widget=forms.RadioSelect)
    observation = forms.CharField(
        label="What was seen", required=False, max_length=2000, widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Such as: at half brake it needed 3 mm down.",
    )  # fmt: skip
    verdict = forms.ChoiceField(
        label="The setup: verdict", choices=Verdict.choices, widget=forms.RadioSelect,
        error_messages={"required": "Give a verdict: keep, tweak or reject."},
    )  # fmt: skip
    condition_after = forms.ChoiceField(
        label="The model afterwards", choices=Condition.choices, initial=Condition.SOUND, widget=forms.RadioSelect,
        help_text="The last two ground it.",
    )  # fmt: skip
    reason = forms.CharField(
        label="Why tweak or reject", required=False, max_length=500, help_text="Needed for these two verdicts."
    )
    wind = forms.CharField(required=False, max_length=120)
    flown_on = forms.DateField(label="Flown on", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"))
    pilot = forms.ModelChoiceField(Member.objects.none(), empty_label=None)

    def __init__(self, *args: Any, revision: Revision, numbers: list[tuple[int, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["revision"].choices = numbers  # type: ignore[attr-defined]
        self.fields["revision"].initial = revision.number
        loads = [(load.key, load.label) for load in revision.setup.balance.loads]
        self.fields["load"].choices = loads  # type: ignore[attr-defined]
        if len(loads) == 1:
            self.fields["load"].initial = loads[0][0]
        self.fields["flown_on"].initial = timezone.localdate
        members = Member.objects.filter(is_active=True).select_related("personal")
        self.fields["pilot"].queryset = members  # type: ignore[attr-defined]

    def clean(self) -> None:
        if "load" in self.errors and "revision" in self.cleaned_data:
            self.errors["load"].clear()
            labels = " or ".join(str(label) for _, label in self.fields["load"].choices)  # type: ignore[attr-defined]
            self.add_error("load", f"Say with which load of revision {self.cleaned_data['revision']}: {labels}.")
        judged = self.cleaned_data.get("verdict") in (Verdict.TWEAK, Verdict.REJECT)
        if judged and not self.cleaned_data.get("reason", "").strip():
            self.add_error("reason", "Say what has to change, or why it is rejected.")


class GroundForm(forms.Form):
    reason = forms.CharField(max_length=500, error_messages={"required": "Say why it must not fly."})
    second_person = forms.BooleanField(
        label="A second person has to release it", required=False,
        help_text="For a first flight or after a rebuild: neither the owner nor a helper may release it then.",
    )  # fmt: skip


class ReleaseForm(forms.Form):
    grounding = forms.ModelChoiceField(
        Grounding.objects.none(), label="Released from", empty_label=None, widget=forms.RadioSelect
    )
    reason = forms.CharField(
        max_length=500, label="Why it may fly again", error_messages={"required": "Say what was looked at or mended."}
    )

    def __init__(self, *args: Any, open_ones: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["grounding"].queryset = open_ones  # type: ignore[attr-defined]
        self.fields["grounding"].label_from_instance = lambda one: f"{one.reason} (by {one.by})"  # type: ignore[attr-defined]
        if len(open_ones) == 1:
            self.fields["grounding"].initial = open_ones[0]


class DayForm(forms.Form):
    """A day of the past: what was so at its end."""

    on = forms.DateField(
        label="As it was on", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        error_messages={"required": "Give a day, such as 2026-05-01."},
    )  # fmt: skip

    def clean_on(self) -> Any:
        day = self.cleaned_data["on"]
        if not 1900 <= day.year <= 9000:
            raise forms.ValidationError("Give a day of our time, such as 2026-05-01.")
        return day


class RollBackForm(ReasonForm):
    """The reason, and of each part that is built otherwise now, whether it was put back."""

    put_back = forms.MultipleChoiceField(
        label="Put back on the model", required=False, widget=forms.CheckboxSelectMultiple,
        help_text="Tick a part only if it is on the model again as it was then.",
    )  # fmt: skip
    field_order = ["put_back", "reason"]

    def __init__(self, *args: Any, parts: Any = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["put_back"].choices = [(part.path, part.words) for part in parts]  # type: ignore[attr-defined]
        if not parts:
            del self.fields["put_back"]

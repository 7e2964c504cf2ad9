"""Forms of the fleet. What they read goes to an operation, which has the last word on it."""

from typing import TYPE_CHECKING, Any

from django import forms
from django.db.models import Q

from hangar.inputs import NumberField
from hangar.members.models import Member

from .models import (
    Airframe,
    CentreUnit,
    ExpoSign,
    LeverSign,
    Receiver,
    ReceiverStatus,
    ReversalPlace,
    Status,
    StickMode,
    Transmitter,
)

if TYPE_CHECKING:
    _ReceiverField = forms.ModelChoiceField[Receiver]
else:
    _ReceiverField = forms.ModelChoiceField


class AirframeForm(forms.Form):
    name = forms.CharField(
        max_length=80, error_messages={"required": "Give the name by which the club knows the model."}
    )
    span_mm = NumberField(label="Wing span in mm", whole=True, least=1, most=100_000, required=False)
    wing_area_dm2 = NumberField(label="Wing area in dm²", least=0.01, most=99_999, required=False)
    mark = forms.CharField(label="Identification mark", max_length=40, required=False)
    mark_place = forms.CharField(
        label="Where it is marked", max_length=80, required=False, help_text="Such as “under the canopy, left”."
    )
    status = forms.ChoiceField(label="The airframe is", choices=Status.choices)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # That it is gone is said on a page of its own, which takes its receiver out too.
        if self.initial.get("status") != Status.GONE:
            here = [choice for choice in Status.choices if choice[0] != Status.GONE]
            self.fields["status"].choices = here  # type: ignore[attr-defined]

    def clean_wing_area_dm2(self) -> Any:
        area = self.cleaned_data["wing_area_dm2"]
        return None if area is None else f"{area:.2f}"


class PeopleForm(forms.Form):
    """Who owns an airframe, and who may edit it beside the owner."""

    owner = forms.TypedChoiceField(coerce=int)
    helpers = forms.TypedMultipleChoiceField(
        required=False, coerce=int, widget=forms.CheckboxSelectMultiple,
        help_text="Helpers may edit this airframe's setup and log its flights.",
    )  # fmt: skip

    def __init__(self, *args: Any, airframe: Airframe, **kwargs: Any) -> None:
        kwargs["initial"] = {"owner": airframe.owner_id, "helpers": [helper.pk for helper in airframe.helpers.all()]}
        super().__init__(*args, **kwargs)
        # An owner who has left is still the owner, until another one is named.
        able = Member.objects.filter(Q(is_active=True) | Q(pk=airframe.owner_id)).select_related("personal")
        self.members = {member.pk: member for member in able}
        for name in ("owner", "helpers"):
            self.fields[name].choices = [(pk, str(member)) for pk, member in self.members.items()]  # type: ignore[attr-defined]

    def clean_owner(self) -> Member:
        return self.members[self.cleaned_data["owner"]]

    def clean_helpers(self) -> list[Member]:
        return [self.members[pk] for pk in self.cleaned_data["helpers"]]


class TransmitterForm(forms.Form):
    label = forms.CharField(max_length=60, help_text="What is written on it, such as “Grey case, number 2”.")
    stick_mode = forms.TypedChoiceField(label="Stick mode", choices=StickMode.choices, coerce=int)
    channels = NumberField(label="Channels", whole=True, least=1, most=64)
    centre_us = NumberField(label="Pulse at travel 0, in µs", least=300, most=3000)
    per_100_us = NumberField(label="µs from the centre at travel 100 %", least=50, most=1000)
    limit_pct = NumberField(label="Largest travel, in %", least=1, most=200)
    step_pct = NumberField(label="Smallest step of a number, in %", least=0.01, most=10)
    curve_points = NumberField(label="Points of a curve", whole=True, least=2, most=100)
    curve_free_x = forms.BooleanField(label="The points of a curve can be moved sideways", required=False)


class OwnedTransmitterForm(TransmitterForm):
    """For members who keep the club's transmitters too."""

    clubs = forms.BooleanField(label="It belongs to the club, not to me", required=False)


class SignsForm(forms.Form):
    """What the five-minute test of a transmitter showed."""

    lever_forward = forms.ChoiceField(
        label="Push the lever forward and read its position in the transmitter",
        choices=LeverSign.choices, widget=forms.RadioSelect,
    )  # fmt: skip
    expo_positive = forms.ChoiceField(
        label="Enter an expo of +50 and move the stick a little",
        choices=ExpoSign.choices, widget=forms.RadioSelect,
    )  # fmt: skip
    centre_unit = forms.ChoiceField(
        label="Enter a centre of +10 and see how far the surface goes",
        choices=CentreUnit.choices, widget=forms.RadioSelect,
    )  # fmt: skip
    reversal = forms.ChoiceField(
        label="Set the upper limit alone to 50 %, then reverse the channel: the end that stays short tells where "
        "reversal comes",
        choices=ReversalPlace.choices, widget=forms.RadioSelect,
        help_text="The same end of the surface stays short: before the limits. The other end: after the limits.",
    )  # fmt: skip


class ReceiverForm(forms.Form):
    label = forms.CharField(max_length=60, help_text="What is written on it, such as “R7”.")
    channels = NumberField(label="Channels", whole=True, least=1, most=64)
    status = forms.ChoiceField(choices=ReceiverStatus.choices)
    note = forms.CharField(max_length=300, required=False)


class ReceiverChoice(_ReceiverField):
    """A receiver, told with its channels and where it sits now."""

    def label_from_instance(self, obj: Any) -> str:
        sits = next(iter(obj.open_fittings), None)
        place = f", now in {sits.airframe}" if sits else ", spare"
        return f"{obj.label}, {obj.channels} channels{place}"


class FitForm(forms.Form):
    receiver = ReceiverChoice(
        Receiver.objects.none(), empty_label="Choose a receiver",
        error_messages={"required": "Choose the receiver that was put in."},
        help_text="One that sits in another airframe is recorded as taken out of it.",
    )  # fmt: skip

    def __init__(self, *args: Any, receivers: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["receiver"].queryset = receivers  # type: ignore[attr-defined]


class BindForm(forms.Form):
    transmitter = forms.ModelChoiceField(
        Transmitter.objects.all(), empty_label="Choose a transmitter",
        error_messages={"required": "Choose the transmitter that the receiver was bound to."},
    )  # fmt: skip

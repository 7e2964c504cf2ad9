"""Forms of the fleet. What they read goes to an operation, which has the last word on it."""

from typing import TYPE_CHECKING, Any

from django import forms
from django.db.models import Q
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from hangar.choosing import NamedField, offer
from hangar.inputs import LengthField, NumberField
from hangar.members.choices import MEMBERS
from hangar.members.models import Member

from .choices import offer_receivers, offer_transmitters
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
        label=_("Name"),
        max_length=80,
        error_messages={"required": _("Give the name by which the club knows the model.")},
    )
    span_mm = LengthField(label=_("Wing span"), whole=True, least=1, most=100_000, required=False)
    wing_area_dm2 = NumberField(label=_("Wing area in dm²"), least=0.01, most=99_999, required=False)
    mark = forms.CharField(label=_("Identification mark"), max_length=40, required=False)
    mark_place = forms.CharField(
        label=_("Where it is marked"),
        max_length=80,
        required=False,
        help_text=_("Such as “under the canopy, left”."),
    )
    status = forms.ChoiceField(label=_("The airframe is"), choices=Status.choices)

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
    """Who owns an airframe, and who may edit it beside the owner.

    Where the members are many, those who help are ticked, and one more can be named at a time.
    """

    owner = forms.ModelChoiceField(Member.objects.none(), label=_("Owner"), empty_label=None)
    # Not a field of the query: SQLite cannot look for a number as long as anyone may send.
    helpers = forms.TypedMultipleChoiceField(
        coerce=int, label=_("Helpers"), required=False, widget=forms.CheckboxSelectMultiple,
        help_text=_("Helpers may edit this airframe's setup and log its flights."),
    )  # fmt: skip

    def __init__(self, *args: Any, airframe: Airframe, **kwargs: Any) -> None:
        helpers = list(airframe.helpers.select_related("personal"))
        kwargs["initial"] = {"owner": airframe.owner_id, "helpers": [one.pk for one in helpers]}
        super().__init__(*args, **kwargs)
        # An owner who has left is still the owner, until another one is named.
        able = Member.objects.filter(Q(is_active=True) | Q(pk=airframe.owner_id)).select_related("personal")
        near = [airframe.owner, *helpers]
        rows = offer(self, "owner", every=able, likely=near, naming=MEMBERS)
        if rows is None:
            self.fields["another"] = NamedField(
                every=able, offered=near, naming=MEMBERS, label=_("One more helper"), required=False
            )
        self.offered = {one.pk: one for one in (helpers if rows is None else rows)}
        ticked: Any = self.fields["helpers"]
        ticked.choices = [(pk, str(one)) for pk, one in self.offered.items()]

    def clean_helpers(self) -> list[Member]:
        return [self.offered[pk] for pk in self.cleaned_data["helpers"]]

    def clean(self) -> None:
        another = self.cleaned_data.pop("another", None)
        if another is not None and "helpers" in self.cleaned_data:
            self.cleaned_data["helpers"] = [*self.cleaned_data["helpers"], another]


class TransmitterForm(forms.Form):
    label = forms.CharField(
        label=_("Label"), max_length=60, help_text=_("What is written on it, such as “Grey case, number 2”.")
    )
    stick_mode = forms.TypedChoiceField(label=_("Stick mode"), choices=StickMode.choices, coerce=int)
    channels = NumberField(label=_("Channels"), whole=True, least=1, most=64)
    centre_us = NumberField(label=_("Pulse at travel 0, in µs"), least=300, most=3000)
    per_100_us = NumberField(label=_("µs from the centre at travel 100 %"), least=50, most=1000)
    limit_pct = NumberField(label=_("Largest travel, in %"), least=1, most=200)
    step_pct = NumberField(label=_("Smallest step of a number, in %"), least=0.01, most=10)
    curve_points = NumberField(label=_("Points of a curve"), whole=True, least=2, most=100)
    curve_free_x = forms.BooleanField(label=_("The points of a curve can be moved sideways"), required=False)


class OwnedTransmitterForm(TransmitterForm):
    """For members who keep the club's transmitters too."""

    clubs = forms.BooleanField(label=_("It belongs to the club, not to me"), required=False)


class SignsForm(forms.Form):
    """What the five-minute test of a transmitter showed."""

    lever_forward = forms.ChoiceField(
        label=_("Push the lever forward and read its position in the transmitter"),
        choices=LeverSign.choices, widget=forms.RadioSelect,
    )  # fmt: skip
    expo_positive = forms.ChoiceField(
        label=_("Enter an expo of +50 and move the stick a little"),
        choices=ExpoSign.choices, widget=forms.RadioSelect,
    )  # fmt: skip
    centre_unit = forms.ChoiceField(
        label=_("Enter a centre of +10 and see how far the surface goes"),
        choices=CentreUnit.choices, widget=forms.RadioSelect,
    )  # fmt: skip
    reversal = forms.ChoiceField(
        label=_(
            "Set the upper limit alone to 50 %, then reverse the channel: the end that stays short tells where "
            "reversal comes"
        ),
        choices=ReversalPlace.choices, widget=forms.RadioSelect,
        help_text=_(
            "The same end of the surface stays short: before the limits. The other end: after the limits."
        ),
    )  # fmt: skip


class ReceiverForm(forms.Form):
    label = forms.CharField(label=_("Label"), max_length=60, help_text=_("What is written on it, such as “R7”."))
    channels = NumberField(label=_("Channels"), whole=True, least=1, most=64)
    status = forms.ChoiceField(label=_("Status"), choices=ReceiverStatus.choices)
    note = forms.CharField(label=_("Note"), max_length=300, required=False)


class ReceiverChoice(_ReceiverField):
    """A receiver, told with its channels and where it sits now."""

    def label_from_instance(self, obj: Any) -> str:
        sits = next(iter(obj.open_fittings), None)
        told = (
            gettext("{receiver}, {channels} channels, now in {airframe}")
            if sits
            else gettext("{receiver}, {channels} channels, spare")
        )
        return told.format(receiver=obj.label, channels=obj.channels, airframe=sits.airframe if sits else "")


class FitForm(forms.Form):
    receiver = ReceiverChoice(
        Receiver.objects.none(), label=_("Receiver"), empty_label=_("Choose a receiver"),
        error_messages={"required": _("Choose the receiver that was put in.")},
        help_text=_("One that sits in another airframe is recorded as taken out of it."),
    )  # fmt: skip

    def __init__(self, *args: Any, receivers: Any, fitted: Receiver | None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_receivers(self, receivers, fitted)


class BindForm(forms.Form):
    transmitter = forms.ModelChoiceField(
        Transmitter.objects.none(), label=_("Transmitter"), empty_label=_("Choose a transmitter"),
        error_messages={"required": _("Choose the transmitter that the receiver was bound to.")},
    )  # fmt: skip

    def __init__(self, *args: Any, user: Member, airframe: Airframe, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_transmitters(self, user, airframe)

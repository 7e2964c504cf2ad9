"""Signing in, joining, passwords, and what members say of themselves."""

from typing import TYPE_CHECKING, Any

from django import forms
from django.contrib.auth import authenticate
from django.contrib.auth.forms import AuthenticationForm
from django.utils.translation import gettext_lazy as _

from hangar.languages.areas import LANGUAGES
from hangar.requests import SignedIn

from .models import LengthUnit, Member, Paper, Role, ThrowUnit

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise

_DATE = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
NAME_MISSING = _("Give the full name, as the club knows it.")


class SignInForm(AuthenticationForm):
    """Login and password, with a refusal that says what to look at."""

    error_messages = {
        "invalid_login": _("This login and password do not fit together. Capital letters count in the password."),
        "inactive": _("This member has left. A secretary can let you back in."),
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].label = _("Login")
        self.fields["username"].error_messages["required"] = _("Give your login.")
        self.fields["password"].error_messages["required"] = _("Give your password.")


def _password(label: "_StrPromise", kind: str, missing: "_StrPromise", **options: Any) -> forms.CharField:
    return forms.CharField(
        label=label, strip=False, max_length=1000, error_messages={"required": missing},
        widget=forms.PasswordInput(attrs={"autocomplete": kind}), **options,
    )  # fmt: skip


class NewPasswordForm(forms.Form):
    """A new password, twice, since it cannot be seen."""

    password = _password(
        _("New password"), "new-password", _("Choose a password."),
        help_text=_("At least ten characters. A few words in a row are good, and easy to keep."),
    )  # fmt: skip
    again = _password(_("The same once more"), "new-password", _("Type the new password once more."))

    def clean_again(self) -> str:
        again: str = self.cleaned_data["again"]
        if "password" in self.cleaned_data and self.cleaned_data["password"] != again:
            raise forms.ValidationError(_("This is not what was typed above; type the new password once more."))
        return again


class JoinForm(NewPasswordForm):
    login = forms.CharField(
        label=_("Login"), max_length=40,
        help_text=_("With it you sign in: 2 to 40 letters, digits, dots, hyphens or underscores."),
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"}),
        error_messages={"required": _("Choose a login."), "max_length": _("Give a login of at most 40 characters.")},
    )  # fmt: skip
    field_order = ["login", "password", "again"]

    def clean_login(self) -> str:
        """Told at once, and not only when the passwords are right too."""
        login = Member.normalize_username(self.cleaned_data["login"])
        Member._meta.get_field("login").run_validators(login)
        return login


class _ProvenForm(forms.Form):
    """Asks for the member's password once more, since the phone may lie about unlocked."""

    old = _password(_("Your password"), "current-password", _("Give your password."))

    def __init__(self, *args: Any, request: SignedIn, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.request = request

    def clean_old(self) -> str:
        old: str = self.cleaned_data["old"]
        if not old:
            return ""
        # By the backends, so that wrong ones count like those of signing in.
        if authenticate(self.request, username=self.request.user.login, password=old) is None:
            raise forms.ValidationError(_("This is not your password. Capital letters count."))
        return old


class ChangePasswordForm(NewPasswordForm, _ProvenForm):
    field_order = ["old", "password", "again"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["old"].label = _("Your password until now")


class LeaveForm(_ProvenForm):
    name = forms.ChoiceField(
        label=_("Your name"), initial="keep", widget=forms.RadioSelect,
        choices=[("keep", _("Keep my name in the club's history")), ("erase", _("Erase my name, for good"))],
    )  # fmt: skip
    field_order = ["name", "old"]


class ForgottenForm(forms.Form):
    login = forms.CharField(
        label=_("Login"), max_length=40,
        widget=forms.TextInput(attrs={"autocomplete": "username", "autocapitalize": "none"}),
        error_messages={"required": _("Give your login.")},
    )  # fmt: skip


class DetailsForm(forms.Form):
    """Who a member is."""

    full_name = forms.CharField(
        label=_("Full name"), max_length=120, error_messages={"required": NAME_MISSING},
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
    )  # fmt: skip
    operator_number = forms.CharField(
        label=_("Operator number"), max_length=40, required=False,
        help_text=_("Seen by this member and the secretaries only."),
    )  # fmt: skip
    licence_expires_on = forms.DateField(
        label=_("Valid until"), required=False, widget=_DATE,
        help_text=_("The last day on which the number is valid."),
        error_messages={"invalid": _("This is not a date; give one such as 2027-03-31.")},
    )  # fmt: skip
    email = forms.EmailField(
        label=_("Mail address"), required=False, help_text=_("Only for a link when the password is forgotten."),
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
        error_messages={"invalid": _("This is not a mail address; give one such as name@example.org, or none.")},
    )  # fmt: skip


class OwnDetailsForm(DetailsForm, _ProvenForm):
    """Of oneself. Whoever has the mail address gets at the password, so changing it takes the password."""

    field_order = ["full_name", "operator_number", "licence_expires_on", "email", "old"]

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["old"].required = False
        self.fields["old"].label = _("Your password, to change the mail address")
        self.fields["operator_number"].help_text = _("Seen by you and the secretaries only.")

    def clean(self) -> dict[str, Any] | None:
        typed = super().clean()
        if "email" in self.changed_data and not self.cleaned_data.get("old") and "old" not in self.errors:
            self.add_error("old", _("Give your password, since the mail address changes."))
        return typed


class PreferencesForm(forms.Form):
    throw_unit = forms.ChoiceField(label=_("Throws in"), choices=ThrowUnit.choices, widget=forms.RadioSelect)
    length_unit = forms.ChoiceField(label=_("Lengths in"), choices=LengthUnit.choices, widget=forms.RadioSelect)
    language = forms.ChoiceField(
        label=_("Language"), required=False, choices=[("", _("as the browser asks for")), *LANGUAGES.items()],
        widget=forms.RadioSelect,
    )  # fmt: skip
    paper = forms.ChoiceField(label=_("Paper of the sheets"), choices=Paper.choices, widget=forms.RadioSelect)


class RoleForm(forms.Form):
    role = forms.ChoiceField(
        label=_("Role"),
        choices=[
            (Role.PILOT, _("pilot: edits their own airframes and those they help with")),
            (Role.INSTRUCTOR, _("instructor: edits every airframe and releases grounded ones")),
            (Role.SECRETARY, _("secretary: also keeps members, invitations and receivers")),
        ],
        widget=forms.RadioSelect, error_messages={"required": _("Choose a role.")},
    )  # fmt: skip


class InviteForm(RoleForm):
    full_name = forms.CharField(
        label=_("Full name"), max_length=120, error_messages={"required": _("Give the full name of who is invited.")},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )  # fmt: skip
    field_order = ["full_name", "role"]


class EraseForm(forms.Form):
    sure = forms.BooleanField(
        label=_("I know that this cannot be undone"),
        error_messages={"required": _("Tick this, if the name is to go for good.")},
    )  # fmt: skip

"""Signing in."""

from typing import Any

from django.contrib.auth.forms import AuthenticationForm


class SignInForm(AuthenticationForm):
    """Login and password, with a refusal that says what to look at."""

    error_messages = {
        "invalid_login": "This login and password do not fit together. Capital letters count in the password.",
        "inactive": "This member has left. A secretary can let you back in.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["username"].label = "Login"
        self.fields["username"].error_messages["required"] = "Give your login."
        self.fields["password"].error_messages["required"] = "Give your password."

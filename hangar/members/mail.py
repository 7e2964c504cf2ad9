"""A link for a new password by mail, where a mail server is configured and the member gave an address."""

import logging
import smtplib
import threading
from collections.abc import Callable
from datetime import timedelta
from functools import partial

from django.conf import settings
from django.core.cache import cache
from django.core.mail import send_mail
from django.db import connection
from django.template.loader import render_to_string
from django.utils import timezone, translation
from django.utils.translation import gettext as _

from hangar.languages.speaking import speaking

from .models import Invitation, Member
from .operations import NEW_PASSWORD_LASTS, new_password_link

logger = logging.getLogger(__name__)

# Nobody's mailbox is filled by others: one letter a member, and a handful of requests from one address, in this time.
PAUSE = timedelta(minutes=10)
REQUESTS = 5


def configured() -> bool:
    """A letter carries a link under the address that is set, never under one that whoever asked for it has called."""
    return bool(settings.EMAIL_HOST and settings.HANGAR_BASE_URL)


def ask_for_link(*, login: str, address: str, page: Callable[[str], str]) -> None:
    """Send a link to the member with this login, if there is one with a mail address.

    Nothing is told and nothing takes longer: whoever asks does not learn whether the login exists. `page` makes the
    full address of a link from its token.
    """
    language = translation.get_language() or ""
    key = f"asked-for-link:{address}"
    cache.add(key, 0, PAUSE.total_seconds())
    if cache.incr(key) <= REQUESTS:
        in_the_background(partial(send_link, login, page, language))


def in_the_background(work: Callable[[], None]) -> None:
    # A thread and no task: tasks may be set to run at once, and then the answer would take as long as the letter.
    threading.Thread(target=work).start()


def send_link(login: str, page: Callable[[str], str], language: str = "") -> None:
    """In the language that the member chose, else in the one in which it was asked for."""
    try:
        member = Member.objects.filter(login=Member.normalize_username(login), is_active=True).first()
        if member is not None:
            with speaking(member.language or language or settings.LANGUAGE_CODE):
                _send_to(member, page)
    except (OSError, smtplib.SMTPException):
        logger.exception("A letter with a link could not be sent.")
    finally:
        if threading.current_thread() is not threading.main_thread():
            connection.close()


def _send_to(member: Member, page: Callable[[str], str]) -> None:
    address = getattr(getattr(member, "personal", None), "email", "")
    lately = Invitation.objects.open().filter(member=member, invited_by=None, created_at__gt=timezone.now() - PAUSE)
    if not address or lately.exists():
        return
    invitation, token = new_password_link(member, by=None)
    ctx = {"member": member, "link": page(token), "until": invitation.expires_at, "days": NEW_PASSWORD_LASTS.days}
    send_mail(_("A new password"), render_to_string("members/new_password_letter.txt", ctx), None, [address])

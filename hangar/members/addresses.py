"""Who tries to sign in, from where, as far as it can be trusted: by these the wrong passwords are counted."""

from collections.abc import Mapping
from ipaddress import IPv6Address, ip_address, ip_network

from django.conf import settings
from django.http import HttpRequest


def client_address(request: HttpRequest) -> str | None:
    """The address that our own outermost proxy saw; without a proxy, the connection's. None where it is no address.

    Anyone can send X-Forwarded-For. Only the entries which our proxies appended, counted from the right, are true.
    """
    proxies: int = settings.HANGAR_PROXIES
    forwarded = [part.strip() for part in request.META.get("HTTP_X_FORWARDED_FOR", "").split(",") if part.strip()]
    if proxies and len(forwarded) >= proxies:
        return counted_as(forwarded[-proxies])
    return counted_as(request.META.get("REMOTE_ADDR", ""))


def counted_as(said: str) -> str | None:
    """One address for all that one line has: of IPv6 that is a network of 64 bits, in which everyone picks at will."""
    plain = said.partition("]")[0].lstrip("[") if said.startswith("[") else said
    # Some proxies add the port.
    if plain.count(":") == 1:
        plain = plain.partition(":")[0]
    try:
        found = ip_address(plain.partition("%")[0])
    except ValueError:
        return None
    if isinstance(found, IPv6Address):
        if found.ipv4_mapped:
            return str(found.ipv4_mapped)
        return str(ip_network((found, 64), strict=False).network_address)
    return str(found)


def tried_login(request: HttpRequest, credentials: Mapping[str, str] | None) -> str:
    """The login that was tried, in its one spelling: " NORA" and "nora" are one member's, with one count."""
    # Late, since settings name this function before the models are there.
    from .models import Member

    tried = credentials or request.POST
    return Member.normalize_username(tried.get("username") or "")

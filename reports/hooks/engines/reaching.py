"""Which addresses may be sent to: read strictly, and never into the own house by accident.

Source: the registries of special addresses that RFC 6890 set up, as Python's `ipaddress` has them.
"""

import re
from collections.abc import Collection
from dataclasses import dataclass
from ipaddress import IPv4Address, IPv6Address, ip_address, ip_network
from urllib.parse import urlsplit

PRINTABLE = re.compile(r"[!-~]+")
# Translates to IPv4 behind it, RFC 6052.
TRANSLATED = ip_network("64:ff9b::/96")


@dataclass(frozen=True)
class Target:
    """Where to connect and what to ask for there."""

    is_tls: bool
    host: str
    port: int
    path: str

    @property
    def named(self) -> str:
        """Host and, where it is not the usual one, port, as the Host header has them."""
        host = f"[{self.host}]" if ":" in self.host else self.host
        usual = 443 if self.is_tls else 80
        return host if self.port == usual else f"{host}:{self.port}"


def read_address(text: str) -> Target | None:
    """Return the target of an http or https address; None where it is none that is safe to use.

    Refused are: signs that could end a line of a request, a name and password in front of the
    host, a fragment, and a port that cannot be.
    """
    if not PRINTABLE.fullmatch(text) or "\\" in text or "#" in text:
        return None
    try:
        parts = urlsplit(text)
        port = parts.port
    except ValueError:
        return None
    if parts.scheme not in ("http", "https") or not parts.hostname or "@" in parts.netloc:
        return None
    if port == 0:
        return None
    is_tls = parts.scheme == "https"
    path = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
    return Target(is_tls, parts.hostname, port or (443 if is_tls else 80), path)


def is_public(address: str) -> bool:
    """Return whether anybody may be reached there: no machine of a house, and no group.

    An IPv6 address that stands for an IPv4 one counts as that.

    Raises:
        ValueError: it is no address.
    """
    ip = _meant(address)
    is_special = ip.is_multicast or ip.is_reserved or ip.is_unspecified
    if isinstance(ip, IPv6Address):
        is_special = is_special or ip.is_site_local
    return ip.is_global and not is_special


def may_reach(address: str, allowed: Collection[str]) -> bool:
    """Return whether an address is public, or lies in one of the networks that are allowed.

    Raises:
        ValueError: it is no address, or one of the networks is none.
    """
    ip = _meant(address)
    return is_public(address) or any(ip in ip_network(each) for each in allowed)


def _meant(address: str) -> IPv4Address | IPv6Address:
    ip = ip_address(address.partition("%")[0])
    if isinstance(ip, IPv4Address):
        return ip
    if ip in TRANSLATED:
        return IPv4Address(int(ip) & 0xFFFFFFFF)
    behind = ip.teredo
    return ip.ipv4_mapped or ip.sixtofour or (behind[1] if behind else ip)

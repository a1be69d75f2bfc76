"""Under which names and addresses the shop's network knows this computer."""

from __future__ import annotations

import socket

# Nothing is sent to it: asking the system which of its addresses would be used is enough (TEST-NET-1, RFC 5737).
_ANYWHERE = ("192.0.2.1", 9)
_ANYWHERE_6 = ("2001:db8::1", 9)


def own_names() -> tuple[str, ...]:
    """This computer's names and addresses, those a phone can use first."""
    host = socket.gethostname().lower().partition(".")[0]
    named = [f"{host}.local", host] if host and host != "localhost" else []
    return tuple(dict.fromkeys([*addresses(), *named, "localhost", "127.0.0.1"]))


def addresses() -> tuple[str, ...]:
    """The addresses this computer has on its networks; an IPv6 one in brackets."""
    found = [_address_towards(socket.AF_INET, _ANYWHERE), _address_towards(socket.AF_INET6, _ANYWHERE_6)]
    return tuple(f"[{address}]" if ":" in address else address for address in found if address)


def _address_towards(family: socket.AddressFamily, where: tuple[str, int]) -> str:
    try:
        with socket.socket(family, socket.SOCK_DGRAM) as asked:
            asked.connect(where)
            address = asked.getsockname()[0]
    except OSError:
        return ""
    return "" if address.startswith(("127.", "::1")) else address

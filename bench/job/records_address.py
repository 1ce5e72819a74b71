"""Where the workshop's records are kept: a PostgreSQL URL without a password."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import parse_qsl, quote, urlencode, urlsplit, urlunsplit

__all__ = ["EXAMPLE", "AddressProblem", "ServerAddress", "server_address"]

_SCHEMES = ("postgresql", "postgres")
EXAMPLE = "postgresql://winder@192.0.2.20/turnproof"
_CONNECT_S = 3
_OPTIONS = {
    "connect_timeout": str(_CONNECT_S),
    # A cable that was pulled is noticed within a minute, and not after two hours.
    "keepalives_idle": "10",
    "keepalives_interval": "5",
    "keepalives_count": "3",
    "tcp_user_timeout": "20000",
}
_SESSION = {
    # What a bench that vanished held is free again within a minute or so, and nobody waits for it for ever.
    "tcp_keepalives_idle": "30",
    "tcp_keepalives_interval": "10",
    "tcp_keepalives_count": "3",
    "idle_in_transaction_session_timeout": "30s",
    "lock_timeout": "10s",
}


class AddressProblem(ValueError):
    """No address of a server; one line: which, why, expected.  A password is never repeated in it."""


@dataclass(frozen=True)
class ServerAddress:
    """url: as libpq takes it, without a password;  words: for a person."""

    url: str
    words: str

    def conninfo(self, program: str) -> str:
        """The URL with what keeps a connection from hanging;  program: what the server calls it by."""
        parts = urlsplit(self.url)
        session = " ".join(f"-c {name}={value}" for name, value in _SESSION.items())
        options = {**_OPTIONS, "options": session, **dict(parse_qsl(parts.query)), "application_name": program[:63]}
        return urlunsplit(parts._replace(query=urlencode(options, quote_via=quote)))


def server_address(text: str) -> ServerAddress:
    """Raises AddressProblem."""
    try:
        parts = urlsplit(text.strip())
        port = parts.port
    except ValueError:
        raise AddressProblem(f"records server: {_without_password(text)!r}, expected such as {EXAMPLE}") from None
    if any("password" in name.lower() for name, _ in parse_qsl(parts.query)) or parts.password is not None:
        raise AddressProblem(
            f"records server: a password stands in it, expected {EXAMPLE} and the password in PGPASSWORD or a "
            "password file (~/.pgpass)"
        )
    if parts.scheme not in _SCHEMES:
        raise AddressProblem(f"records server: {_without_password(text)!r}, expected such as {EXAMPLE}")
    name = parts.path.strip("/")
    if not name or "/" in name:
        raise AddressProblem(
            f"records server: {_without_password(text)!r} names no database, expected such as {EXAMPLE}"
        )
    host = parts.hostname or dict(parse_qsl(parts.query)).get("host", "this computer")
    words = f"{host}{'' if port is None else f':{port}'}/{name}"
    return ServerAddress(urlunsplit(parts._replace(scheme="postgresql")), words)


def _without_password(text: str) -> str:
    """What may be repeated: what stands before an @ may hold a password, and so may what is no URL."""
    if "password" in text.lower() or "://" not in text:
        return "what stands there"
    before, at, after = text.rpartition("@")
    return f"...@{after}" if at and before else text

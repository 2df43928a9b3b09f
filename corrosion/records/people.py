"""Which role somebody who signed in has: the server keeper's list, outside every fleet folder.

    signed_in_hours = 12        # after that, sign in again
    named_by = "email"          # what the provider calls a person by: email, sub, ...
    others = "none"             # whoever signs in and is not listed: none, or look

    [roles]
    "office@boats.example" = "manage"
    "dock@boats.example" = "log"

Notes
-----
* Somebody who is not listed may do nothing, unless `others = "look"`: many providers let anybody
  in the world sign in.
* An email counts only where the provider says that it was verified: otherwise whoever types
  somebody else's into an account would be them. A provider that says nothing of it is listed by
  `sub`, its own mark for a person.
* The list is read again at each question, so a line that is taken out holds at once.
"""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from types import MappingProxyType
from typing import Any, Final

from corrosion.common import LogRefused, read_plain
from corrosion.records.writers import Role

MOST_BYTES: Final = 1_000_000
HOURS: Final = 12.0
CLOCKS_DIFFER_S: Final = 300.0
"""A provider's clock may be ahead of ours by so much; a sign-in from later than that is none."""
_KEYS: Final = frozenset({"signed_in_hours", "named_by", "others", "roles"})
_ROLES: Final = {role.word: role for role in Role}


@dataclass(frozen=True)
class People:
    """Who has which role on a server.

    Attributes
    ----------
    roles : mapping of str to Role
        By what the provider calls the person; an email in lower case.
    others : Role
        Of whoever is not listed: `NONE` or `LOOK`.
    named_by : str
        The claim of the provider that names a person.
    signed_in_hours : float
        How long a sign-in lasts, h.
    """

    roles: Mapping[str, Role] = field(default_factory=lambda: MappingProxyType({}))
    others: Role = Role.NONE
    named_by: str = "email"
    signed_in_hours: float = HOURS

    def role_of(self, claims: Mapping[str, object], now: datetime) -> Role:
        """Say which role somebody has who signed in.

        Parameters
        ----------
        claims : mapping of str to object
            What the provider signed (OpenID Connect Core 1.0, section 2): `iat`, the moment of
            it in seconds since 1970; `email` and `email_verified`, or the claim `named_by`.
        now : datetime
            With a zone.

        Returns
        -------
        Role
            `NONE` where the sign-in is over or has no moment, too.
        """
        if not self._is_signed_in(claims.get("iat"), now.timestamp()):
            return Role.NONE
        name = self._name(claims)
        return self.roles.get(name, self.others) if name else Role.NONE

    def _is_signed_in(self, since: object, now_s: float) -> bool:
        if isinstance(since, bool) or not isinstance(since, int | float):
            return False
        return -CLOCKS_DIFFER_S <= now_s - since < self.signed_in_hours * 3600.0

    def _name(self, claims: Mapping[str, object]) -> str:
        name = claims.get(self.named_by)
        if not isinstance(name, str):
            return ""
        if self.named_by != "email":
            return name
        return name.strip().lower() if claims.get("email_verified") is True else ""


def read_people(path: Path) -> People:
    """Read the list of roles.

    Parameters
    ----------
    path : Path
        A TOML file.

    Returns
    -------
    People

    Raises
    ------
    LogRefused
        It is not there, or something in it cannot be read: then nobody has a role.
    """
    try:
        text = read_plain(path, MOST_BYTES).decode("utf-8-sig")
        content = tomllib.loads(text)
    except OSError as error:
        raise LogRefused(f"{path.name}: cannot be read ({error.strerror}).") from error
    except (UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise LogRefused(f"{path.name}: is not valid TOML: {error}.") from error
    return _people(path.name, content)


def _people(file: str, content: Mapping[str, Any]) -> People:
    unknown = sorted(set(content) - _KEYS)
    if unknown:
        raise LogRefused(f"{file}: {unknown[0]} means nothing. Known: {', '.join(sorted(_KEYS))}.")
    named_by = content.get("named_by", "email")
    if not isinstance(named_by, str) or not named_by:
        raise LogRefused(f"{file}: named_by must be a text, such as email or sub.")
    hours = content.get("signed_in_hours", HOURS)
    if isinstance(hours, bool) or not isinstance(hours, int | float) or not 0 < hours <= 720:
        raise LogRefused(f"{file}: signed_in_hours must be a number from 0 to 720 h.")
    others = _role(file, "others", content.get("others", "none"))
    if others > Role.LOOK:
        raise LogRefused(f"{file}: others may be none or look; list those who write by name.")
    listed = content.get("roles", {})
    if not isinstance(listed, Mapping):
        raise LogRefused(f'{file}: [roles] must be lines such as "dock@boats.example" = "log".')
    roles: dict[str, Role] = {}
    for name, word in listed.items():
        key = name.strip().lower() if named_by == "email" else name
        if key in roles:
            raise LogRefused(f"{file}: {key} is listed twice. Leave one line.")
        roles[key] = _role(file, name, word)
    return People(MappingProxyType(roles), others, named_by, float(hours))


def _role(file: str, about: str, word: object) -> Role:
    if not isinstance(word, str) or word not in _ROLES:
        raise LogRefused(f"{file}: {about} = {word!r} is no role. Roles: {', '.join(_ROLES)}.")
    return _ROLES[word]

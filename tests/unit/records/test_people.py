"""The list of roles: whoever is not on it, or is not shown to be who they say, may do nothing."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from corrosion.common import LogRefused
from corrosion.records import Role, read_people

NOW = datetime(2031, 6, 1, 8, tzinfo=UTC)
LIST = '[roles]\n"Office@boats.example" = "manage"\n"dock@boats.example" = "log"\n'


def claims(email: str = "dock@boats.example", age_h: float = 1.0, **others: object) -> dict:  # type: ignore[type-arg]
    signed_at = (NOW - timedelta(hours=age_h)).timestamp()
    return {"sub": "42", "email": email, "email_verified": True, "iat": signed_at} | others


def role(tmp_path: Path, text: str, who: dict) -> Role:  # type: ignore[type-arg]
    path = tmp_path / "roles.toml"
    path.write_text(text, encoding="utf-8")
    return read_people(path).role_of(who, NOW)


def test_listed_people_have_their_role_however_the_email_is_spelled(tmp_path: Path) -> None:
    assert role(tmp_path, LIST, claims()) is Role.LOG
    assert role(tmp_path, LIST, claims("OFFICE@boats.example")) is Role.MANAGE


def test_others_have_none_unless_the_list_lets_them_look(tmp_path: Path) -> None:
    assert role(tmp_path, LIST, claims("who@else.example")) is Role.NONE
    assert role(tmp_path, 'others = "look"\n' + LIST, claims("who@else.example")) is Role.LOOK


@pytest.mark.parametrize("verified", [False, None, "true", 1])
def test_an_email_that_is_not_verified_is_nobodys(tmp_path: Path, verified: object) -> None:
    who = claims(email_verified=verified)
    assert role(tmp_path, 'others = "look"\n' + LIST, who) is Role.NONE


def test_people_may_be_listed_by_the_providers_own_mark(tmp_path: Path) -> None:
    text = 'named_by = "sub"\n[roles]\n"42" = "manage"\n'
    assert role(tmp_path, text, claims(email_verified=False)) is Role.MANAGE
    assert role(tmp_path, text, claims(sub=42)) is Role.NONE


@pytest.mark.parametrize(
    ("age_h", "has"), [(11.99, Role.LOG), (12.0, Role.NONE), (-0.05, Role.LOG), (-0.2, Role.NONE)]
)
def test_a_sign_in_runs_out(tmp_path: Path, age_h: float, has: Role) -> None:
    assert role(tmp_path, LIST, claims(age_h=age_h)) is has
    longer = role(tmp_path, "signed_in_hours = 720\n" + LIST, claims(age_h=abs(age_h) * 50))
    assert longer is Role.LOG


@pytest.mark.parametrize("since", [None, "yesterday", True, float("nan")])
def test_a_sign_in_of_no_known_moment_is_none(tmp_path: Path, since: object) -> None:
    assert role(tmp_path, LIST, claims(iat=since)) is Role.NONE


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            '[roles]\n"a@b.example" = "admin"\n',
            "'admin' is no role. Roles: none, look, log",
        ),
        ('[roles]\n"a@b.example" = "log"\n"A@b.example" = "look"\n', "is listed twice"),
        ('others = "log"\n', "others may be none or look"),
        ("signed_in_hours = 0\n", "from 0 to 720 h"),
        ("signed_in_hours = true\n", "from 0 to 720 h"),
        ('name_by = "sub"\n', "name_by means nothing"),
        ("named_by = 3\n", "named_by must be a text"),
        ("roles = 3\n", "must be lines such as"),
        ("[roles\n", "is not valid TOML"),
    ],
)
def test_a_list_that_cannot_be_read_is_refused(tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(LogRefused, match=says):
        role(tmp_path, text, claims())


def test_a_list_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(LogRefused, match=r"roles\.toml: cannot be read"):
        read_people(tmp_path / "roles.toml")

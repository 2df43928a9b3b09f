"""Who is asked to sign in: a mistake in a file locks the door, other programs' secrets do not."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from corrosion.records import Role
from pages._shared import visitors


@pytest.fixture(autouse=True)
def settled_anew(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Iterator[None]:
    monkeypatch.setattr(visitors, "ROLES_FILE", tmp_path / "roles.toml")
    monkeypatch.delenv("FLEET_ROLES", raising=False)
    visitors.are_asked.cache_clear()
    yield
    visitors.are_asked.cache_clear()


@pytest.mark.parametrize(
    ("text", "asks"),
    [
        ("[auth]\nclient_id = 'a'\n", True),
        ("[other]\nkey = 'b'\n", False),
        ("", False),
        ("[auth\n", True),
        (None, False),
    ],
)
def test_secrets_that_set_a_sign_in_up_or_cannot_be_read_ask(
    tmp_path: Path, text: str | None, asks: bool
) -> None:
    secrets = tmp_path / "secrets.toml"
    if text is not None:
        secrets.write_text(text, encoding="utf-8")
    assert visitors.names_a_provider(secrets) is asks


def test_without_either_file_whoever_reaches_the_server_manages() -> None:
    assert not visitors.are_asked()
    assert visitors.role() is Role.MANAGE


def test_a_list_of_roles_alone_lets_nobody_in(tmp_path: Path) -> None:
    (tmp_path / "roles.toml").write_text('others = "look"\n', encoding="utf-8")
    assert visitors.are_asked()
    assert visitors.role() is Role.NONE


def test_a_list_that_is_named_and_not_there_lets_nobody_in(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("FLEET_ROLES", "/nowhere/roles.toml")
    assert visitors.are_asked()
    assert visitors.role() is Role.NONE


def test_a_visitor_who_may_nothing_is_refused_by_the_core(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("FLEET_ROLES", "/nowhere/roles.toml")
    assert visitors.writer("dock").role_in(tmp_path) is Role.NONE

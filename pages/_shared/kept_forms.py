"""What was typed into forms that are not written yet, kept on the server by the form's name."""

from __future__ import annotations

KEPT_FORMS = 200  # typed into and not written; the oldest is forgotten

FORMS: dict[str, dict[str, object]] = {}


def keep_form(name: str, typed: dict[str, object]) -> None:
    """Keep what was typed, so that a page that is loaded again shows it."""
    FORMS[name] = typed
    while len(FORMS) > KEPT_FORMS:
        FORMS.pop(next(iter(FORMS)), None)


def forget_form(name: str) -> None:
    """Forget a form that was written."""
    FORMS.pop(name, None)


def kept_form(name: str) -> dict[str, object]:
    """Give what was typed into a form that was not written; empty when it is not known."""
    return dict(FORMS.get(name, {}))

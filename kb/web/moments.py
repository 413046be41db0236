"""Times as they stand in a form: told in the workspace's zone, read from what was typed."""

from collections.abc import Iterable, Mapping
from datetime import datetime

from kb import checking
from kb.errors import InvalidError, Problem
from kb.records.workspace import Workspace
from kb.web.forms import Field

HINT = "Like 2026-10-31 19:00."


def told(at: datetime | None, place: Workspace) -> str:
    """Return a time as a field holds it; empty where there is none."""
    return f"{at.astimezone(place.settings.timezone):%Y-%m-%d %H:%M}" if at else ""


def typed(
    form: Mapping[str, str],
    fields: Iterable[Field],
    names: Iterable[str],
    place: Workspace,
    now: datetime,
) -> dict[str, datetime | None]:
    """Return those of the times that were changed; one that was emptied is None.

    What was left as it stood is not among them: a field holds no seconds, the record does.

    Args:
        form: What was typed.
        fields: The form's fields, with the times that stand.
        names: Which of the fields hold times.
        place: The workspace, for its zone.
        now: The time now: what only says the hour is of its day.

    Raises:
        InvalidError: Some are no times; each is named.
    """
    stands = {field.name: field.value for field in fields}
    found: dict[str, datetime | None] = {}
    problems: list[Problem] = []
    for name in names:
        text = form.get(name, stands.get(name, "")).strip()
        if text == stands.get(name, ""):
            continue
        try:
            found[name] = checking.moment(text, place.settings.timezone, now) if text else None
        except InvalidError as error:
            problems += [Problem(name.replace("_", " "), one.message) for one in error.problems]
    if problems:
        raise InvalidError(problems)
    return found

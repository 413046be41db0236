"""Published check values of the review's methods, each with its source and tolerance."""

import json
from pathlib import Path
from typing import Any

import pytest

CASES: dict[str, dict[str, Any]] = {
    row["id"]: row
    for row in json.loads(
        (Path(__file__).parent / "reference" / "review.json").read_text(encoding="utf-8")
    )
}


def given(number: str) -> Any:  # noqa: ANN401 - whatever the source gives
    """Return the inputs of a check; where it names another's data, those."""
    inputs = CASES[number]["inputs"]
    same = str(inputs.get("engines", ""))
    return (
        CASES[same.removeprefix("same data as ")]["inputs"] if same.startswith("same") else inputs
    )


def printed(number: str, name: str) -> Any:  # noqa: ANN401 - a number, or several
    """Return a value as it was published, equal to whatever lies within its tolerance."""
    case = CASES[number]
    tolerance = case["tolerance"]
    own = tolerance.get("keys", {}).get(name, {k: v for k, v in tolerance.items() if k != "keys"})
    # One kind of tolerance alone counts, not the greater of it and a default.
    return pytest.approx(case["expected"][name], **{"rel": 0, "abs": 0, **own})


def engines() -> tuple[list[list[float]], list[float]]:
    """Return when 41 engines had valve seats replaced, and how long each was watched: days."""
    rows = CASES["EXP-01"]["inputs"]["engines"].values()
    return [row["replacement_days"] for row in rows], [row["end_day"] for row in rows]

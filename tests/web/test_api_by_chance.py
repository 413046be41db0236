"""Schemathesis reads the API's own description and tries what it allows, and what it doesn't."""

import re
from pathlib import Path
from typing import Any

import pytest
import schemathesis
from hypothesis import HealthCheck, given, settings
from schemathesis import Case
from schemathesis.checks import not_a_server_error

from kb import clock
from kb.crew import pairings
from kb.records import session, workspace
from kb.records.unit import Writer
from kb.web import app

pytestmark = pytest.mark.slow
SENT = {"host": "localhost"}
# What the libraries below say of a wrong value; we say it ourselves.
THEIRS = re.compile("input should|unable to parse|value error|pydantic", re.IGNORECASE)


@pytest.fixture
def described(folder: Path) -> Any:  # noqa: ANN401 - the library's own schema
    """The API as a script of a lead reaches it."""
    made = app.create_app(workspace.opened(folder))
    now = clock.now()
    with session.begin(made.state.engine, Writer("M.O.", "terminal", now)) as unit:
        values = {"person": "M.O.", "device": "by chance", "role": "lead"}
        token = pairings.add_script(unit, values, made.state.place.now(now)).secret
    SENT["authorization"] = f"Bearer {token}"
    return schemathesis.openapi.from_asgi("/api/openapi.json", made, headers=SENT)


def test_whatever_is_sent_it_is_no_defect(described: Any) -> None:  # noqa: ANN401
    tried = set()
    for found in described.get_all_operations():
        operation = found.ok()

        @settings(max_examples=25, deadline=None, suppress_health_check=list(HealthCheck))
        @given(operation.as_strategy())
        def it_is_answered(case: Case[Any]) -> None:
            answer = case.call(headers=SENT)
            tried.add((case.method, case.path))

            assert answer.status_code not in (401, 421)
            case.validate_response(answer, checks=[not_a_server_error])
            assert not THEIRS.search(answer.text), answer.text

        it_is_answered()

    assert len(tried) == described.statistic.operations.total >= 12

"""Numbers in addresses and forms that no record can have."""

import re

import pytest
from fastapi.testclient import TestClient

from kb.web import doors

NUMBERED = [row for row in doors.ROWS if re.search(r"{(number|attempt)}", row)]
OTHERS = {"{fix}": "replug", "{step}": "1", "{digest}": "0" * 64}


@pytest.mark.parametrize("number", [-(2**63) - 1, -(2**31) - 1, 0, 2**31, 2**63, 10**30])
def test_a_number_that_no_record_has_is_told_as_unknown(number: int, client: TestClient) -> None:
    for row in NUMBERED:
        method, path = row.split(" ")
        for part, value in OTHERS.items():
            path = path.replace(part, value)
        path = re.sub(r"{(number|attempt)}", str(number), path)
        sent = {"seen": str(number)} if method == "POST" else None
        answer = client.request(method, path, data=sent if "/api/" not in path else None)

        assert answer.status_code in (303, 400, 404, 409, 422), f"{row}: {answer.status_code}"

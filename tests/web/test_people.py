"""People are added, change their name or role, become one, and are forgotten after a warning."""

import re
from urllib.parse import quote

import pytest
from fastapi.testclient import TestClient
from form_fields import fields, rows

pytestmark = pytest.mark.slow


def names(client: TestClient) -> list[str]:
    return [row[0] for row in rows(client.get("/people").text)]


def test_two_names_become_one_and_what_was_written_moves_over(client: TestClient) -> None:
    client.post("/people/new", data={"name": "J. Pell", "role": "tech"})
    client.post("/screen", data={"who": "J. Pell"})
    fault = client.post("/CC-05/log", data={"text": "five hums"}).headers["location"]
    assert "J. Pell" in client.get(fault).text

    path = "/people/J. Pell/merge"
    assert "Nothing takes that apart again" in client.get(path).text
    assert client.post(path, data={"into": "J.P."}).status_code == 303

    assert "J. Pell" not in names(client)
    client.post("/screen", data={"who": "A.K."})
    page = client.get(fault).text
    assert "J.P." in page
    assert "J. Pell" not in page


def test_nothing_is_merged_into_nobody_or_itself(client: TestClient) -> None:
    for into, status in (("", 404), ("nobody", 404), ("J.P.", 409)):
        assert client.post("/people/J.P./merge", data={"into": into}).status_code == status
    assert "J.P." in names(client)


def test_forgetting_warns_before_and_leaves_no_name(client: TestClient) -> None:
    client.post("/people/new", data={"name": "Q.Q.", "role": "tech"})
    client.post("/screen", data={"who": "Q.Q."})
    fault = client.post("/CC-05/log", data={"text": "five hums"}).headers["location"]
    page = client.get("/people/Q.Q./forget").text
    assert "This can&#39;t be taken back" in page
    assert 'class="press danger"' in page
    assert "Q.Q." in names(client)

    assert client.post("/people/Q.Q./forget").status_code == 303

    client.post("/screen", data={"who": "A.K."})
    assert "Q.Q." not in names(client)
    assert "Q.Q." not in client.get(fault).text
    assert "five hums" in client.get(fault).text


def test_somebody_of_any_name_is_changed(client: TestClient) -> None:
    name = "A/B #2?"
    assert client.post("/people/new", data={"name": name, "role": "reader"}).status_code == 303
    path = f"/people/{quote(name)}/change"
    assert f'href="{path}"' in client.get("/people").text
    typed = fields(client, path)
    assert client.post(path, data=typed | {"role": "lead"}).status_code == 303
    assert [name, "lead"] in rows(client.get("/people").text)

    second = client.post(path, data=typed | {"name": "A.B."})

    assert second.status_code == 409
    assert 'value="A.B."' in second.text
    assert re.search(r"role &#39;reader&#39; -&gt; &#39;lead&#39;", second.text)


@pytest.mark.parametrize(("way", "into"), [("merge", "J.P."), ("forget", None)])
def test_who_was_changed_meanwhile_is_neither_merged_nor_forgotten(
    way: str, into: str | None, client: TestClient
) -> None:
    late = fields(client, f"/people/A.K./{way}")
    change = "/people/A.K./change"
    client.post(change, data=fields(client, change) | {"role": "lead"})

    answer = client.post(f"/people/A.K./{way}", data=late | ({"into": into} if into else {}))

    assert answer.status_code == 409
    assert "A.K." in names(client)


@pytest.mark.parametrize(
    ("typed", "status", "told"),
    [
        ({"name": "", "role": "tech"}, 422, "Name: it is empty"),
        ({"name": "j.p.", "role": "tech"}, 409, "There is a person"),
        ({"name": "Z.Z.", "role": "king"}, 422, "Role: "),
    ],
)
def test_a_mistake_brings_the_form_back(
    typed: dict[str, str], status: int, told: str, client: TestClient
) -> None:
    answer = client.post("/people/new", data=typed)

    assert answer.status_code == status
    assert told in answer.text
    assert f'value="{typed["name"]}"' in answer.text


@pytest.mark.parametrize("way", ["change", "merge", "forget"])
def test_somebody_unknown_is_told(way: str, looking: TestClient) -> None:
    assert looking.get(f"/people/nobody/{way}").status_code == 404

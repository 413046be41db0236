"""Follow a fault: fixes in order, one step at a time, a spare put in, closed, told to others."""

import io
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from calls import called
from fastapi.testclient import TestClient
from form_fields import fields
from PIL import Image

pytestmark = pytest.mark.slow
COLOUR = "display-colour-shift"
Logged = Callable[..., str]


def main_of(page: str) -> str:
    return page.partition("<main")[2].partition("</main>")[0]


@pytest.fixture
def logged(client: TestClient) -> Logged:
    """Return what logs a fault on a thing and returns its address."""

    def log(item: str = "CC-05", **over: str) -> str:
        data = {"text": "five is greenish", "entry": COLOUR, **over}
        answer = client.post(f"/{item}/log", data=data)
        assert answer.status_code == 303, answer.text
        return str(answer.headers["location"])

    return log


def seen(page: str) -> str:
    found = re.search(r'name="seen" value="(\d+)"', page)
    assert found
    return found[1]


def test_first_acts_stand_on_top_and_cautions_above_the_steps(
    client: TestClient, logged: Logged
) -> None:
    page = main_of(client.get(logged("RC-01", entry="battery-swollen", text="hot")).text)

    assert page.index("<h3>First</h3>") < page.index('id="fix-')
    for part in re.split(r'<details class="card" id="fix-', page)[1:]:
        if "Caution:" in part and '<ol class="steps">' in part:
            assert part.index("Caution:") < part.index('<ol class="steps">')


def test_the_next_fix_is_open_and_what_failed_is_said(client: TestClient, logged: Logged) -> None:
    there = logged()
    page = client.get(there).text
    keys = re.findall(r'id="fix-([a-z-]+)"', page)
    assert f'id="fix-{keys[0]}" open' in page

    client.post(f"{there}/try", data={"entry": COLOUR, "fix": keys[0], "outcome": "did not work"})

    page = client.get(there).text
    assert f'id="fix-{keys[1]}" open' in page
    assert f'id="fix-{keys[0]}" open' not in page
    tried = page.partition("<h2>Tried</h2>")[2].partition("</ul>")[0]
    assert "Replug the video lead" in tried
    assert "did not work" in tried


def test_one_step_at_a_time_leads_to_the_next_fix_where_one_fails(
    client: TestClient, logged: Logged
) -> None:
    there = logged()
    way = re.search(r'href="([^"]*/steps/[^"]*)"', client.get(there).text)
    assert way
    at, pages = way[1], []
    while True:
        page = main_of(client.get(at).text)
        pages.append(page)
        after = re.search(r'href="([^"]*)">Done, next step', page)
        if after is None:
            break
        at = after[1]

    assert len(pages) > 1
    assert all(one.count('class="large"') == 1 for one in pages)
    assert "You should see:" in pages[-1]
    typed = dict(re.findall(r'type="hidden" name="(\w+)" value="([^"]*)"', pages[-1]))
    failed = client.post(f"{there}/try", data=typed | {"outcome": "did not work"})
    assert re.fullmatch(rf"{there}/steps/[a-z-]+/1\?entry={COLOUR}", failed.headers["location"])
    assert typed["fix"] not in failed.headers["location"]
    following = failed.headers["location"].split("/")[4]
    worked = client.post(f"{there}/try", data=typed | {"fix": following, "outcome": "worked"})
    assert worked.headers["location"] == there


@pytest.mark.parametrize("step", ["0", "99", "-1"])
def test_a_step_that_is_none_is_said(step: str, client: TestClient, logged: Logged) -> None:
    there = logged()

    assert client.get(f"{there}/steps/replug/{step}").status_code == 404
    assert client.get(f"{there}/steps/prayer/1").status_code == 404


def test_another_entry_can_be_followed(client: TestClient, logged: Logged) -> None:
    there = logged()
    page = client.get(there).text
    others = page.partition('id="others"')[2].partition("</details>")[0]
    slugs = re.findall(rf'href="{there}\?entry=([a-z-]+)"', others)

    assert slugs
    assert COLOUR not in slugs
    assert f'name="entry" value="{slugs[0]}"' in client.get(f"{there}?entry={slugs[0]}").text


def test_a_swap_for_a_spare_is_kept_with_how_it_ended(
    client: TestClient, folder: Path, logged: Logged
) -> None:
    there = logged()
    assert 'name="spare" value="CC-07"' in client.get(there).text

    data = {"spare": "CC-07", "outcome": "worked", "doubtful": "true", "entry": COLOUR}
    answer = client.post(f"{there}/swap", data=data)

    assert answer.status_code == 303, answer.text
    assert "watched" in client.get(there).text
    unit = called("-w", folder, "item", "see", "CC-05", "--json").json
    assert unit["line"]["state"] == "doubtful"
    assert unit["links"] == []
    spare = called("-w", folder, "item", "see", "CC-07", "--json").json
    assert {link["cable"] for link in spare["links"]} == {"HD-24", None}


def test_a_swap_that_can_t_be_keeps_the_choice_and_writes_nothing(
    client: TestClient, logged: Logged
) -> None:
    there = logged()
    data = {"spare": "CC-04", "outcome": "did not work", "entry": COLOUR}

    answer = client.post(f"{there}/swap", data=data)

    assert answer.status_code == 409
    assert "joined to something" in answer.text
    assert 'id="swap" open' in answer.text
    assert "<h2>Tried</h2>" not in client.get(there).text


def test_closing_hints_at_the_usual_cause_presets_none_and_keeps_what_was_typed(
    client: TestClient, logged: Logged
) -> None:
    there = logged()
    page = client.get(there).text
    assert "Such faults were mostly: wrong setting as delivered." in page
    assert not re.search(r'name="kind"[^>]* checked', page)
    assert client.post(f"{there}/close", data={"seen": seen(page)}).status_code == 422

    typed = {"seen": seen(page), "kind": "handling", "item": "ZZ-1", "note": "by the door"}
    answer = client.post(f"{there}/close", data=typed)

    assert answer.status_code == 404
    assert re.search(r'name="kind" value="handling"[^>]* checked', answer.text)
    assert 'value="by the door"' in answer.text
    assert 'id="closing" open' in answer.text
    assert client.post(f"{there}/close", data=typed | {"item": "HD-24"}).status_code == 303
    closed = client.get(there).text
    assert "handling: HD-24 (by the door)" in closed


def test_the_second_of_two_who_close_is_told_what_the_first_did(
    client: TestClient, logged: Logged
) -> None:
    there = logged()
    looked = {"seen": seen(client.get(there).text)}
    assert client.post(f"{there}/close", data=looked | {"kind": "handling"}).status_code == 303

    answer = client.post(f"{there}/close", data=looked | {"kind": "own failure"})

    assert answer.status_code == 409
    assert "handling" in answer.text
    back = client.post(f"{there}/reopen", data={"seen": seen(client.get(there).text)})
    assert back.status_code == 303
    assert "open" in client.get(there).text


def test_when_it_was_restored_may_be_said_at_closing_and_after(
    client: TestClient, logged: Logged
) -> None:
    there = logged()
    number = there.rpartition("/")[2]

    def restored() -> str:
        return str(client.get(f"/api/faults/{number}").json()["restored_at"])

    noticed = client.get(f"/api/faults/{number}").json()["line"]["noticed_at"]
    answer = client.post(f"{there}/close", data={"kind": "handling", "restored_at": "soon"})
    assert answer.status_code == 422
    assert 'value="soon"' in answer.text
    client.post(f"{there}/close", data={"kind": "handling"})
    exact = restored()
    page = fields(client, there)
    assert page["stood"] == page["restored_at"]
    mended = {"kind": "unknown", "stood": page["stood"]}
    client.post(f"{there}/cause", data=mended | {"restored_at": page["restored_at"]})
    assert restored() == exact  # a field holds no seconds, the record does
    early = client.post(f"{there}/cause", data=mended | {"restored_at": "2026-01-01 08:00"})
    assert early.status_code == 422
    assert "between the report and the closing" in early.text
    assert restored() == exact >= noticed


def test_the_cause_of_a_closed_fault_is_mended_on_its_page(
    client: TestClient, logged: Logged
) -> None:
    there = logged()
    client.post(f"{there}/close", data={"kind": "handling", "note": "trodden on"})
    page = client.get(there).text
    assert "<dt>Restored</dt>" in page
    assert 'value="trodden on"' in page
    stands = {"seen": seen(page), "kind": "own failure", "item": "none"}

    answer = client.post(f"{there}/cause", data=stands)
    assert answer.status_code == 422
    assert 'id="closing" open' in answer.text
    client.post(f"{there}/cause", data=stands | {"item": "CC-05"})

    page = client.get(there).text
    assert "own failure: CC-05</dd>" in page
    assert "trodden on" not in page
    assert "<dt>Came back</dt>" not in page
    client.post(f"{there}/reopen", data={"seen": seen(page)})
    page = client.get(there).text
    assert "<dt>Came back</dt>" in page
    assert "<dt>Restored</dt>" not in page


def test_what_was_done_in_words_comes_back_after_a_mistake(
    client: TestClient, logged: Logged
) -> None:
    there = logged()

    answer = client.post(f"{there}/try", data={"what": "wiggled the lead", "outcome": "maybe"})

    assert answer.status_code == 422
    assert 'value="wiggled the lead"' in answer.text
    assert 'id="other-act" open' in answer.text


def a_picture(colour: str = "navy") -> bytes:
    file = io.BytesIO()
    Image.new("RGB", (40, 30), colour).save(file, "PNG")
    return file.getvalue()


def test_the_mark_of_an_open_page_changes_with_each_press(
    client: TestClient, logged: Logged
) -> None:
    there = logged()

    def mark() -> str:
        told = client.get(f"{there}/version").text
        assert f'data-stands="{told}"' in client.get(there).text
        return told.partition(" ")[0]

    marks = [mark()]
    client.post(f"{there}/try", data={"what": "wiggled", "outcome": "did not work"})
    marks.append(mark())
    client.post(f"{there}/photo", files={"photo": ("p.png", a_picture(), "image/png")})
    marks.append(mark())
    client.post(f"{there}/try", data={"what": "pulled", "outcome": "worked"})
    marks.append(mark())
    client.post(f"{there}/close", data={"kind": "handling"})
    marks.append(mark())

    assert len(set(marks)) == 5
    assert mark() == marks[-1]


def test_a_picture_is_taken_down_again(client: TestClient, logged: Logged) -> None:
    there = logged()
    client.post(f"{there}/photo", files={"photo": ("p.png", a_picture(), "image/png")})
    address = re.search(r'src="(/photos/\w+)"', client.get(there).text)
    assert address
    assert client.get(address[1]).headers["x-content-type-options"] == "nosniff"

    assert client.post(f"{there}{address[1]}/down").status_code == 303

    assert address[1] not in client.get(there).text
    assert client.get(address[1]).status_code == 404
    assert client.post(f"{there}{address[1]}/down").status_code == 404


@pytest.mark.usefixtures("before_air")
def test_minutes_to_air_are_told_while_it_matters(client: TestClient, logged: Logged) -> None:
    there = logged()
    assert re.search(r'class="minutes">\d+ min</span> to air', client.get(there).text)
    client.post(f"{there}/close", data={"kind": "handling"})
    assert "to air" not in client.get(there).text


FILTERS = (
    ("state=closed", "AM-01"),
    ("text=FADERS+reversed", "seats two and three reversed on the faders"),
    ("item=RC-02", "deck two dead at power-up"),
    ("place=Studio+floor", "second guest silent"),
    (f"entry={COLOUR}", "five green"),
)


@pytest.mark.parametrize(("asked", "told"), FILTERS)
def test_a_list_is_narrowed_by_its_address(asked: str, told: str, looking: TestClient) -> None:
    page = looking.get(f"/faults?{asked}").text

    assert told in page
    everything = looking.get("/faults").text.count("<tr>")
    assert 1 < page.count("<tr>") <= everything
    name, _, value = asked.partition("=")
    if name != "state":
        assert f'name="{name}" value="{value.replace("+", " ")}"' in page


def test_a_mistake_in_a_filter_loses_no_other(looking: TestClient) -> None:
    answer = looking.get("/faults?item=ZZ-9&text=green&state=open")

    assert answer.status_code == 404
    assert 'value="green"' in answer.text
    assert 'value="ZZ-9"' in answer.text
    assert "ZZ-9" in answer.text.partition('role="alert"')[2]


def test_pages_of_the_list_keep_the_filters(looking: TestClient) -> None:
    page = looking.get("/faults?state=closed").text
    later = re.search(r'href="(/faults\?[^"]*offset=50)"', page)

    assert later
    assert "state=closed" in later[1]
    second = looking.get(later[1].replace("&amp;", "&")).text
    assert "Earlier ones" in second
    numbers = [set(re.findall(r'href="/faults/(\d+)"', one)) for one in (page, second)]
    assert not numbers[0] & numbers[1]


ACTS = (
    ("try", {"what": "turned it", "outcome": "did not work"}),
    ("swap", {"spare": "CC-09", "outcome": "worked"}),
    ("close", {"kind": "own failure", "note": "its fan"}),
)


@pytest.mark.parametrize(("act", "typed"), ACTS)
def test_a_form_that_comes_in_again_is_done_once(
    act: str, typed: dict[str, str], client: TestClient, folder: Path, logged: Logged
) -> None:
    there = logged()
    spare = re.search(r'name="spare" value="([^"]+)"', client.get(there).text)
    if "spare" in typed and spare:
        typed = typed | {"spare": spare[1]}
    typed = typed | {"client_key": "one", "seen": seen(client.get(there).text)}

    for _again in range(2):
        answer = client.post(f"{there}/{act}", data=typed)
        assert (answer.status_code, answer.headers["location"]) == (303, there)

    number = there.rsplit("/", 1)[1]
    found = called("fault", "see", number, "--json", "-w", str(folder)).json
    assert len(found["attempts"]) == (act != "close")


def test_other_words_are_another_form_whatever_key_they_come_with(
    client: TestClient, folder: Path, logged: Logged
) -> None:
    there = logged()
    for what in ("turned it", "pushed it"):
        data = {"client_key": "one", "what": what, "outcome": "did not work"}
        assert client.post(f"{there}/try", data=data).status_code == 303

    number = there.rsplit("/", 1)[1]
    found = called("fault", "see", number, "--json", "-w", str(folder)).json
    assert [one["title"] for one in found["attempts"]] == ["turned it", "pushed it"]


def test_what_was_refused_is_not_taken_for_done(client: TestClient, logged: Logged) -> None:
    there = logged()
    data = {"client_key": "one", "what": "turned it", "outcome": "nonsense"}
    assert client.post(f"{there}/try", data=data).status_code == 422
    assert client.post(f"{there}/try", data=data).status_code == 422

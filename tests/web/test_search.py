"""Find: narrowed in the address, evidence beside each fix, what is frequent before one types."""

import html
import re

import pytest
from fastapi.testclient import TestClient

pytestmark = pytest.mark.slow
PINK = "everything looks pink"


def main_of(page: str) -> str:
    return page.partition("<main")[2].partition("</main>")[0]


def test_the_first_answer_has_its_steps_and_each_fix_its_evidence(looking: TestClient) -> None:
    page = main_of(looking.get("/", params={"q": PINK}).text)

    assert "Wrong colours after start-up" in page
    assert "You should see:" in page
    first = page.partition("</article>")[0]
    fixes = first.count("tested here") + first.count("trade practice, not tried here yet")
    assert fixes == 4
    assert re.search(r"tested here \d+ of \d+, last on \d{4}-\d\d-\d\d", first)


def options(page: str) -> dict[str, str]:
    """Return what the question offers: its words, and where each leads."""
    part = page.partition('id="asked"')[2].partition("</section>")[0]
    found = re.findall(r'<a class="press[^"]*" href="([^"]*)">([^<]*)</a>', part)
    return {html.unescape(text): html.unescape(address) for address, text in found}


def listed(page: str) -> list[str]:
    return list(dict.fromkeys(re.findall(r'href="/entries/([a-z-]+)', main_of(page))))


def test_the_area_in_the_address_comes_first_and_hides_nothing(looking: TestClient) -> None:
    area = "Displays and video"
    plain = looking.get("/", params={"q": "no sound"}).text
    narrowed = looking.get("/", params={"q": "no sound", "area": area}).text

    assert set(listed(plain)) & set(listed(narrowed))
    assert 'type="hidden" name="area" value="Displays and video"' in narrowed
    assert re.search(rf'href="/\?q=no\+sound">{area} ✓ <span class="soft">take it back', narrowed)


def test_where_it_is_not_clear_a_question_is_asked_and_its_answers_taken_back(
    looking: TestClient,
) -> None:
    there, seen = "/?q=it+does+not+work", []
    while offered := options(looking.get(there).text):
        seen.append(set(offered))
        there = list(offered.values())[-1]
        assert len(seen) < 9

    assert len(seen) > 1
    assert all(any(word in ("None of these", "I don't know") for word in one) for one in seen)
    page = looking.get(there).text
    back = re.findall(r'href="([^"]*)">[^<]*✓ <span class="soft">take it back', page)
    assert back
    assert all(looking.get(html.unescape(one)).status_code == 200 for one in back)


def test_what_is_recognised_comes_first_with_its_steps(looking: TestClient) -> None:
    found = listed(looking.get("/", params={"q": "screen dark"}).text)
    last = found[-1]
    page = looking.get("/", params={"q": "screen dark", "sight": last}).text

    assert len(found) > 3
    assert listed(page)[0] == last
    assert "<article" in main_of(page)
    assert 'id="asked"' not in page


@pytest.mark.parametrize(
    "told", [{"scope": "x"}, {"not": ",,a,"}, {"passed": "sight,%00"}, {"sight": "<script>"}]
)
def test_an_answer_that_is_none_does_no_harm(told: dict[str, str], looking: TestClient) -> None:
    answer = looking.get("/", params={"q": "no sound", **told})

    assert answer.status_code == 200
    assert "<script>" not in answer.text


def test_a_thing_at_hand_stays_in_the_address_and_can_be_put_down(looking: TestClient) -> None:
    page = looking.get("/", params={"q": "CC-05 pink"}).text
    code = re.search(r'href="(/\?q=CC-05\+pink&amp;item=\w+)">With CC-05 at hand', page)
    assert code

    held = looking.get(code[1].replace("&amp;", "&")).text

    assert "at hand" in held
    assert 'href="/?q=CC-05+pink">Without it' in held
    assert re.search(r'href="/entries/[a-z-]+\?item=\w+"', held)


def test_what_nobody_wrote_is_said_and_can_be_asked_for(client: TestClient) -> None:
    page = main_of(client.get("/", params={"q": "zebra quantum"}).text)

    assert "Nothing sure." in page
    assert "<article" not in page
    assert "/log?text=zebra%20quantum" in page
    form = page.partition("data-wanted")[2].partition("</form>")[0]
    typed = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))
    answer = client.post("/entries/wanted", data=typed)
    assert answer.status_code == 303
    assert "zebra quantum" in client.get("/entries").text


@pytest.mark.parametrize("typed", ["CC-05", "cc05"])
def test_the_name_of_a_thing_opens_it_and_asks_for_no_entry(
    typed: str, looking: TestClient
) -> None:
    page = main_of(looking.get("/", params={"q": typed}).text)

    assert re.search(r'href="/[0-9A-Z]{6}">CC-05: open its page</a>', page)
    assert "Ask for an entry on this" not in page
    assert "open its page" not in looking.get("/", params={"q": "no sound"}).text


def test_the_fragment_is_what_the_page_holds(looking: TestClient) -> None:
    asked = {"q": PINK, "item": "CC-05"}
    fragment = looking.get("/find", params=asked).text
    page = looking.get("/", params=asked).text

    assert fragment.strip() in page
    assert "<html" not in fragment
    assert re.search(r'data-told="\d+ entries', fragment)


def test_nothing_typed_tells_what_was_wrong_lately_and_often(client: TestClient) -> None:
    client.post("/log", data={"text": "burnt smell", "place": "Rack room/R1"})
    page = client.get("/").text

    assert "Often wrong lately" in page
    assert "times in ninety days" in page
    assert page.index("burnt smell") < page.index("seats two and three reversed")


def test_what_is_open_comes_before_what_is_newer_and_over(client: TestClient) -> None:
    client.post("/log", data={"text": "burnt smell", "place": "Rack room/R1"})
    newer = client.post("/log", data={"text": "a rattle", "place": "Rack room/R1"})
    client.post(f"{newer.headers['location']}/close", data={"kind": "handling"})
    page = client.get("/").text

    assert "<h2>Lately</h2>" in page
    assert page.index("burnt smell") < page.index("a rattle")


def test_a_search_from_the_page_of_a_thing_keeps_it_at_hand(looking: TestClient) -> None:
    page = looking.get("/CC-05").text
    asked = page.partition('role="search"')[2].partition("</form>")[0]
    code = re.search(r'name="item" value="(\w{6})"', asked)

    assert code
    assert f'With <a href="/{code[1]}">' in looking.get(f"/?q=pink&item={code[1]}").text


def test_a_room_in_the_address_tells_of_that_room_alone(client: TestClient) -> None:
    client.post("/log", data={"text": "burnt smell", "place": "Rack room/R1"})
    rack = client.get("/", params={"place": "Rack room"}).text
    floor = client.get("/", params={"place": "Studio floor"}).text

    assert "burnt smell" in rack
    assert "burnt smell" not in floor
    assert "/log?place=Rack%20room" in rack
    assert client.get("/", params={"place": "nowhere"}).status_code == 404


@pytest.mark.parametrize("q", ["", "   ", "?", "'\"<script>", "a" * 5_000, "\u202e pink", "%%%"])
def test_whatever_is_typed_gets_a_page(q: str, looking: TestClient) -> None:
    answer = looking.get("/", params={"q": q})

    assert answer.status_code == 200
    assert "<script>" not in answer.text.replace('<script src="/static', "")


@pytest.mark.usefixtures("before_air")
def test_the_show_ahead_is_told_in_minutes(looking: TestClient) -> None:
    assert re.search(r'<span class="minutes">\d+ min</span> to air', looking.get("/").text)

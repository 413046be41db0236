"""Entries read, edited with preview and lint, drafted from a closed fault."""

import re
from pathlib import Path

import pytest
from calls import called
from fastapi.testclient import TestClient

pytestmark = pytest.mark.slow


def text_of(client: TestClient, path: str) -> tuple[str, str]:
    """Return the text in the editor and the version that was looked at."""
    page = client.get(path).text
    text = re.search(r'name="text"[^>]*>(.*?)</textarea>', page, re.DOTALL)
    seen = re.search(r'name="seen" value="(\d*)"', page)
    assert text
    assert seen
    plain = text[1].replace("&#34;", '"').replace("&#39;", "'").replace("&gt;", ">")
    return plain.replace("&lt;", "<").replace("&amp;", "&"), seen[1]


@pytest.mark.parametrize(
    "path",
    [
        "/entries",
        "/entries?area=Audio&text=hum",
        "/entries?status=draft",
        "/entries/new",
        "/entries/new?words=prompter speed",
        "/entries/display-colour-shift",
        "/entries/display-colour-shift?item=CC-05",
        "/entries/power-tingle-shock",
        "/entries/display-colour-shift/edit",
        "/entries/display-colour-shift/revisions",
        "/faults/87/draft",
    ],
)
def test_a_page_answers_with_one_heading(path: str, looking: TestClient) -> None:
    answer = looking.get(path)

    assert answer.status_code == 200, answer.text[-600:]
    assert answer.text.count("<h1>") == 1


def test_cautions_stand_above_the_steps_and_first_acts_above_all(looking: TestClient) -> None:
    page = looking.get("/entries/power-breaker-tripped").text

    assert page.index('id="first-acts"') < page.index('id="fix-1"')
    for section in re.findall(r'<section class="card".*?</section>', page, re.DOTALL):
        if 'class="caution"' in section and 'class="steps"' in section:
            assert section.index('class="caution"') < section.index('class="steps"')


def test_the_evidence_of_this_studio_stands_beside_each_fix(looking: TestClient) -> None:
    page = looking.get("/entries/display-colour-shift").text

    assert "tested here 7 of 8" in page
    assert "trade practice, not tried here yet" in page


def test_an_edit_is_looked_at_before_it_is_kept(client: TestClient) -> None:
    path = "/entries/display-sleep/edit"
    text, seen = text_of(client, path)
    broken = text.replace("takes: ", "takes: soon-", 1)
    looked = client.post(path, data={"text": broken, "seen": seen, "press": "look"})
    assert looked.status_code == 200
    assert "Line " in looked.text
    refused = client.post(path, data={"text": broken, "seen": seen, "press": "keep"})
    assert refused.status_code == 422
    assert "takes: soon-" in refused.text

    better = text.replace(
        "symptoms:\n", "symptoms:\n  - the wall went black in the interview\n", 1
    )
    kept = client.post(path, data={"text": better, "seen": seen, "press": "keep", "note": "heard"})
    assert kept.status_code == 303
    assert "the wall went black in the interview" in client.get("/entries/display-sleep").text
    turns = client.get("/entries/display-sleep/revisions").text
    assert "is now" in turns
    assert "heard" in turns
    second = client.post(path, data={"text": text + "\n", "seen": seen, "press": "keep"})
    assert second.status_code == 409


def test_a_draft_from_a_closed_fault_waits_until_it_is_accepted(
    client: TestClient, folder: Path
) -> None:
    number = client.post("/CC-05/log", data={"text": "zebra wobble on cam"}).headers["location"]
    assert client.get(f"{number}/draft").status_code == 409
    client.post(f"{number}/try", data={"what": "turned the lamp", "outcome": "did not work"})
    client.post(f"{number}/try", data={"what": "tightened the ring", "outcome": "worked"})
    client.post(f"{number}/close", data={"kind": "own failure", "note": "loose ring"})

    text, _seen = text_of(client, f"{number}/draft")
    assert called("-w", folder, "entries", "draft", number.rpartition("/")[2]).out == text
    assert "Tightened the ring" in text
    assert text.index("Tightened the ring") < text.index("Turned the lamp")
    kept = client.post("/entries/new", data={"text": text, "press": "keep"})
    assert kept.status_code == 303, kept.text
    there = kept.headers["location"]
    assert "not accepted yet" in client.get(there).text
    slug = there.rpartition("/")[2]
    before = called("-w", folder, "find", "zebra wobble", "--json").json["results"]
    assert slug not in [one["id"] for one in before]

    assert client.post(f"{there}/status", data={"status": "accepted"}).status_code == 303
    found = called("-w", folder, "find", "zebra wobble", "--json").json["results"][0]
    assert (found["kind"], found["id"]) == ("entry", slug)


def test_a_withdrawn_entry_is_found_no_more(client: TestClient, folder: Path) -> None:
    page = client.get("/entries/video-key-black-box").text
    seen = re.search(r'name="seen" value="(\d+)"', page)
    assert seen
    typed = {"status": "withdrawn", "seen": seen[1]}
    assert client.post("/entries/video-key-black-box/status", data=typed).status_code == 303
    ids = [
        one["id"] for one in called("-w", folder, "find", "black box", "--json").json["results"]
    ]
    assert "video-key-black-box" not in ids
    assert client.post("/entries/video-key-black-box/status", data=typed).status_code == 409


def test_an_entry_is_logged_on_the_thing_at_hand(client: TestClient) -> None:
    title = "Wrong colours"
    typed = {"text": title, "entry": "display-colour-shift"}
    number = client.post("/CC-05/log", data=typed).headers["location"]

    assert "Replug the video lead" in client.get(number).text


def test_what_was_searched_in_vain_is_one_press_from_a_draft(looking: TestClient) -> None:
    page = looking.get("/entries").text

    assert 'href="/entries/new?words=prompter%20speed"' in page
    assert "slug: prompter-speed" in looking.get("/entries/new?words=prompter speed").text


def test_no_entry_brings_its_own_script(client: TestClient) -> None:
    path = "/entries/display-sleep/edit"
    text, seen = text_of(client, path)
    bad = text.replace("\n1. ", "\n1. <script>alert(1)</script> ", 1)
    looked = client.post(path, data={"text": bad, "seen": seen, "press": "look"})

    assert "<script>alert" not in looked.text


@pytest.mark.parametrize(
    ("query", "there", "not_there"),
    [
        ("area=Audio", "/entries/audio-hum", "/entries/display-sleep"),
        ("text=AUDIO hum", "/entries/audio-hum", "/entries/audio-feedback"),
        ("status=accepted", "/entries/audio-hum", "No entry fits."),
        ("status=withdrawn", "No entry fits.", "/entries/audio-hum"),
    ],
)
def test_the_address_narrows_the_list(
    query: str, there: str, not_there: str, looking: TestClient
) -> None:
    page = looking.get(f"/entries?{query}").text

    assert there in page
    assert not_there not in page


@pytest.mark.parametrize("query", ["area=Kitchen", "status=lost", "text=" + "x" * 400])
def test_a_filter_that_is_none_is_told_and_kept(query: str, looking: TestClient) -> None:
    answer = looking.get(f"/entries?{query}")

    assert answer.status_code == 422
    assert 'role="alert"' in answer.text
    assert "Searched and not found" in answer.text


@pytest.mark.parametrize("words", ["", "prompter speed", 'no: "yes", {a}', "Ümlaut", "x" * 900])
def test_whatever_was_searched_in_vain_can_be_kept_as_a_draft(
    words: str, client: TestClient
) -> None:
    page = client.get("/entries/new", params={"words": words})
    assert page.status_code == 200
    text, _seen = text_of(client, str(page.url))
    kept = client.post("/entries/new", data={"text": text, "press": "keep"})

    assert kept.status_code == 303, kept.text
    there = client.get(kept.headers["location"]).text
    assert "not accepted yet" in there
    assert kept.headers["location"] in client.get("/entries?status=draft").text


def test_a_new_entry_writes_over_none_that_stands(client: TestClient) -> None:
    text, _seen = text_of(client, "/entries/display-sleep/edit")
    mine = text.replace("symptoms:\n", "symptoms:\n  - written over\n", 1)
    refused = client.post("/entries/new", data={"text": mine, "press": "keep"})

    assert refused.status_code == 409
    assert "There is an entry &#39;display-sleep&#39; already" in refused.text
    assert "  - written over" in refused.text
    assert "written over" not in client.get("/entries/display-sleep").text


def test_an_edit_does_not_change_the_slug(client: TestClient) -> None:
    path = "/entries/display-sleep/edit"
    text, seen = text_of(client, path)
    other = text.replace("slug: display-sleep", "slug: display-nap")
    refused = client.post(path, data={"text": other, "seen": seen, "press": "keep"})

    assert refused.status_code == 422
    assert "slug: display-nap" in refused.text
    assert client.get("/entries/display-nap").status_code == 404


def test_the_second_writer_sees_what_the_first_wrote_and_loses_nothing(
    client: TestClient,
) -> None:
    path = "/entries/display-sleep/edit"
    text, seen = text_of(client, path)
    hers, his = (
        text.replace("symptoms:\n", f"symptoms:\n  - {line}\n", 1)
        for line in ("all panels dozing", "wall took a nap")
    )
    typed = {"seen": seen, "revision": "1", "press": "keep"}
    assert client.post(path, data={"text": hers, "note": "hers", **typed}).status_code == 303
    second = client.post(path, data={"text": his, "note": "his", **typed})

    assert second.status_code == 409
    assert "Changed meanwhile" in second.text
    assert "<ins>  - all panels dozing</ins>" in second.text
    assert 'value="his"' in second.text
    assert "Revision 1," not in second.text
    found = re.search(r'name="seen" value="(\d+)"', second.text)
    assert found
    again = {"text": his, "seen": found[1], "revision": "2", "press": "keep"}
    assert client.post(path, data=again).status_code == 303
    assert "wall took a nap" in client.get("/entries/display-sleep").text


@pytest.mark.parametrize("typed", [{}, {"status": "burnt"}, {"status": ""}])
def test_a_status_that_is_none_changes_nothing(typed: dict[str, str], client: TestClient) -> None:
    assert client.post("/entries/display-sleep/status", data=typed).status_code == 422
    assert "Withdraw it" in client.get("/entries/display-sleep").text


@pytest.mark.parametrize("item", ["ZZ-99", "//evil.example", "x" * 400])
def test_an_unknown_thing_at_hand_is_told_and_the_entry_is_read(
    item: str, looking: TestClient
) -> None:
    answer = looking.get("/entries/power-tingle-shock", params={"item": item})

    assert answer.status_code == 200
    assert 'role="alert"' in answer.text
    assert 'id="first-acts"' in answer.text
    assert '/log"' not in answer.text


def test_a_thing_at_hand_is_one_press_from_its_fault(client: TestClient) -> None:
    page = client.get("/entries/display-colour-shift?item=CC-05").text
    form = re.search(r'<form method="post" action="(/[^/"]+/log)">(.*?)</form>', page, re.DOTALL)
    assert form
    fields = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form[2]))
    number = client.post(form[1], data=fields).headers["location"]

    fault = client.get(number).text
    assert "CC-05" in fault
    assert 'href="/entries/display-colour-shift"' in fault


def test_a_preview_tells_all_that_is_read(looking: TestClient) -> None:
    page = looking.get("/entries/recorder-dropped-frames/edit").text

    preview = page[page.index("How it reads") :]
    assert "Swap it" in preview
    assert "much warmer" in preview
    assert "Afterwards" in preview


@pytest.mark.parametrize(
    "path", ["/entries/nope", "/entries/nope/edit", "/entries/nope/revisions"]
)
def test_an_unknown_entry_is_told(path: str, looking: TestClient) -> None:
    assert looking.get(path).status_code == 404


def test_only_a_closed_fault_offers_to_be_written_down(client: TestClient) -> None:
    number = client.post("/CC-05/log", data={"text": "odd hiss"}).headers["location"]
    link = f'href="{number}/draft"'
    assert link not in client.get(number).text
    client.post(f"{number}/try", data={"what": "waited", "outcome": "worked"})
    client.post(f"{number}/close", data={"kind": "unknown"})

    assert link in client.get(number).text

from collections.abc import Callable
from pathlib import Path

import pytest

from kb.search import confidence, index, listing, query, reading
from kb.search.documents import Document
from kb.search.query import Answer

Make = Callable[..., Document]


@pytest.fixture
def studio(folder: Path, make: Make) -> Path:
    """A small base: entries of two areas, items, faults."""
    entries = [
        make(
            "entry", "call-silent", "No sound from the call", "Audio", symptoms="nobody hears them"
        ),
        make("entry", "loud-hum", "Loud hum", "Audio", symptoms="buzz under the voices"),
        make("entry", "screen-dark", "No picture", "Displays and video", symptoms="black screen"),
        make("entry", "net-dead", "No link", "Network", symptoms="lamp dark, no sound of life"),
    ]
    records = [
        make("item", "K7Q2MX", "laptop 3 (call computer)", item="laptop 3", model="call computer"),
        make("item", "P9RT4C", "CC-01 (call computer)", item="CC-01", model="call computer"),
        make("fault", "12", "no sound from laptop 3", text="no sound from laptop 3"),
        make("fault", "13", "black screen", text="black screen again"),
    ]
    index.rebuild(folder, "entries", entries, until="1")
    index.rebuild(folder, "records", records, until="1")
    return folder


def keys(answer: Answer) -> list[str]:
    return [hit.key for hit in answer.hits]


def test_entries_come_first_then_items_then_faults(studio: Path) -> None:
    hits = query.search(studio, "no sound from laptop").hits

    assert [hit.kind for hit in hits if hit.kind != "entry"] == ["item", "fault"]
    assert [hit.key for hit in hits][-2:] == ["K7Q2MX", "12"]
    assert [hit.key for hit in hits][:2] == ["call-silent", "net-dead"]
    entries = [hit.score for hit in hits if hit.kind == "entry"]
    assert entries == sorted(entries, reverse=True)


def test_a_hit_tells_the_words_it_was_found_by_and_what_was_stored(studio: Path) -> None:
    hits = {hit.key: hit for hit in query.search(studio, "There's NO Sound, tellys DARK").hits}

    assert hits["net-dead"].title == "No link"
    assert hits["net-dead"].why[:3] == ("no", "sound", "dark")
    assert "tellys = screen" in hits["screen-dark"].why
    assert hits["net-dead"].stored == {"area": "Network"}


def test_what_was_read_as_something_else_is_told_and_can_be_undone(studio: Path) -> None:
    found = query.search(studio, "blakc screne")
    assert [(each.typed, each.read) for each in found.corrections] == [
        ("blakc", ("black",)),
        ("screne", ("screen",)),
    ]
    assert found.hits[0].key == "screen-dark"
    assert found.hits[0].why[:2] == ("blakc → black", "screne → screen")

    undone = query.search(studio, "blakc screne", undo=["blakc", "screne"])
    assert (undone.corrections, undone.hits) == ((), ())


def test_what_stands_in_the_records_is_no_slip(studio: Path) -> None:
    assert query.search(studio, "again laptop").corrections == ()


@pytest.mark.parametrize(
    ("text", "first"),
    [
        ("K7Q2MX", "K7Q2MX"),
        ("k7q 2mx", "K7Q2MX"),
        ("cc01 computer hums", "P9RT4C"),
        ("my Laptop 3 call computer", "K7Q2MX"),
    ],
)
def test_what_is_called_by_code_or_name_is_the_first_of_its_kind(
    studio: Path, text: str, first: str
) -> None:
    items = [hit for hit in query.search(studio, text).hits if hit.kind == "item"]

    assert items[0].key == first
    assert all(items[0].score > other.score for other in items[1:])


def test_an_entry_called_by_its_slug_is_first(studio: Path) -> None:
    for text in ("screen-dark", "Screen dark", "screendark"):
        assert keys(query.search(studio, text))[0] == "screen-dark"
    assert "screen-dark, lamp" not in query.search(studio, "screen-dark, lamp").hits[0].why


def test_an_entry_called_by_its_slug_is_before_the_area(studio: Path) -> None:
    assert keys(query.search(studio, "screen dark", area="Network"))[:2] == [
        "screen-dark",
        "net-dead",
    ]


def test_an_area_comes_first_and_hides_nothing(studio: Path) -> None:
    plain = query.search(studio, "no sound")
    asked = query.search(studio, "no sound", area="network")

    assert keys(plain)[:3] == ["call-silent", "net-dead", "screen-dark"]
    assert keys(asked)[:3] == ["net-dead", "call-silent", "screen-dark"]
    assert (asked.confident, asked.lead) == (plain.confident, plain.lead)
    assert sorted(keys(query.search(studio, "no sound", area="nowhere"))) == sorted(keys(plain))


def test_the_best_keep_their_place_on_a_short_list_beside_an_area(
    folder: Path, make: Make
) -> None:
    entries = [make("entry", f"a{n}", "zeta", "Audio", causes="x " * n) for n in range(8)]
    entries.append(make("entry", "best", "zeta zeta zeta", "Network"))
    index.rebuild(folder, "entries", entries, until="1")

    listed = keys(query.search(folder, "zeta", area="Audio", limit=4))
    assert listed == ["a0", "a1", "a2", "best"]


def test_a_boost_multiplies_an_entrys_score(studio: Path) -> None:
    plain = {hit.key: hit.score for hit in query.search(studio, "no sound").hits}
    lifted = query.search(studio, "no sound", boost={"net-dead": 3.0, "absent": 9.0})

    assert keys(lifted)[0] == "net-dead"
    assert lifted.hits[0].score == pytest.approx(3 * plain["net-dead"])


def test_no_more_than_the_limits_are_listed(folder: Path, make: Make) -> None:
    index.rebuild(folder, "entries", [make("entry", f"e{n}", "hum") for n in range(30)], until="1")
    faults = [make("fault", str(n), "hum") for n in range(30)]
    index.rebuild(folder, "records", faults, until="1")
    kinds = [hit.kind for hit in query.search(folder, "hum").hits]

    assert kinds.count("entry") == listing.ENTRIES_LIMIT
    assert kinds.count("fault") == listing.RECORDS_LIMIT
    assert len(query.search(folder, "hum", limit=3).hits) == 3 + listing.RECORDS_LIMIT


def test_confidence_is_of_the_base_and_lead_of_its_first_two(studio: Path) -> None:
    sure, lost = query.search(studio, "nobody hears them"), query.search(studio, "wine carpet no")

    assert sure.confident
    assert sure.lead > 0.5
    assert not lost.confident
    assert keys(lost)
    first, second = (hit.score for hit in query.search(studio, "no sound").hits[:2])
    assert query.search(studio, "no sound").lead == confidence.lead([first, second])


@pytest.mark.parametrize(
    "text",
    [
        "",
        " ",
        "x",
        "no",
        "the of and",
        "?*~^\"'([{}])\\:;!&|<>+-=/",
        'title:"no sound" AND (NOT hum) OR s?und~2 [a TO b]',
        "\u0635\u0648\u062a \u0644\u0627 \u064a\u0639\u0645\u0644 \u202e sound",
        "\x00\x07\x1b[31m no \x9f",
        "\ud800 sound \udfff",
        "\U0001f50a \u2603 no",
        "no sound " * 5_000,
        " ".join(f"word{n}" for n in range(10_000)),
        "z" * 100_000,
        "0" * 5_000,
        "-" * 5_000,
    ],
)
def test_whatever_is_typed_is_answered(studio: Path, text: str) -> None:
    answer = query.search(studio, text)

    assert answer.query == text
    assert answer.missing == ()
    assert all(hit.why for hit in answer.hits)


@pytest.mark.parametrize("text", ["", "the of and", "zzzz", "\u202e"])
def test_what_says_nothing_finds_nothing(studio: Path, text: str) -> None:
    assert query.search(studio, text) == Answer(text, (), confident=False, lead=0.0)


def test_without_an_index_nothing_is_found_and_the_missing_ones_are_told(folder: Path) -> None:
    answer = query.search(folder, "no sound")

    assert (answer.hits, answer.missing) == ((), ("entries", "records"))


def test_damage_found_while_searching_is_told_and_the_index_forgotten(
    studio: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise EOFError

    with monkeypatch.context() as damaged:
        damaged.setattr(reading, "_blocks", broken)
        assert query.search(studio, "hum").missing == ("entries",)

    assert index.position(studio, "entries") is None
    assert index.position(studio, "records") == "1"


def test_open_indexes_answer_as_they_were_opened(studio: Path, make: Make) -> None:
    with query.opened(studio) as opened:
        before = query.answer(opened, "hum", listing.Wish())
        gone = [("entry", "loud-hum")]
        index.apply(studio, "entries", [make("entry", "x", "X")], gone, since="1", until="2")
        after = query.answer(opened, "hum", listing.Wish())

    assert before == after
    assert keys(query.search(studio, "hum")) == []

"""`item`: listed, shown, added, changed, moved, set aside, retired, merged."""

from collections.abc import Callable

import pytest
from calls import Refused, Run

from kb.gear import codes

Code = Callable[[str], str]


@pytest.fixture
def code_of(run: Run) -> Code:
    """Return what tells the code of an item."""
    return lambda name: str(run("item", "see", name, "--json").json["line"]["code"])


def names(run: Run, *words: object) -> list[str]:
    """Return the names of the items that a call lists."""
    return [line["name"] for line in run("item", "list", *words, "--json").json]


def test_items_are_listed_by_name_with_code_state_and_place(run: Run, code_of: Code) -> None:
    lines = run("item", "list").out.splitlines()

    assert lines[0].split() == ["Code", "Name", "Model", "State", "Place"]
    assert [line[9:14] for line in lines[1:]] == [
        "CC-01",
        "CC-02",
        "DR-01",
        "HD-04",
        "HD-05",
        "MM-01",
    ]
    assert lines[1].rstrip() == (
        f"{codes.shown(code_of('CC-01'))}  CC-01  Halvetta Tern 14     fit    House/Control room"
    )


@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        (("cc",), ["CC-01", "CC-02"]),
        (("tern", "02"), ["CC-02"]),
        (("--class", "cable"), ["HD-04", "HD-05"]),
        (("--model", "Silo 1T"), ["DR-01"]),
        (("--place", "drawer C1"), ["DR-01", "HD-04", "HD-05"]),
        (("--state", "retired"), []),
        (("--limit", "2"), ["CC-01", "CC-02"]),
        (("--limit", "2", "--offset", "4"), ["HD-05", "MM-01"]),
    ],
)
def test_a_list_is_narrowed(words: tuple[str, ...], wanted: list[str], run: Run) -> None:
    assert names(run, *words) == wanted


def test_an_empty_list_says_how_to_add_one(run: Run) -> None:
    assert run("item", "list", "zzz").out == ("No such item. Add one: kitlore item add --help\n")


def test_an_item_is_added_with_all_that_is_known(run: Run) -> None:
    added = run(
        *("item", "add", "CC-03", "--model", "Tern 14", "--place", "rack R1", "--serial", "4417"),
        *("--batch", "B", "--in-service", "2026-11-01", "--bought", "2026-10-01"),
        *("--price", "1040.50", "--supplier", "the dealer", "--warranty-until", "2028-10-01"),
        *("--note", "hinge stiff", "--json"),
    )

    code = added.json["code"]
    assert codes.read(code) == code
    page = run("item", "see", code).out
    assert page.splitlines()[:13] == [
        f"CC-03 ({codes.shown(code)}): fit",
        "Model       Halvetta Tern 14",
        "Class       call-computer",
        "Place       House/rack R1",
        "Serial      4417",
        "Batch       B",
        "In service  2026-11-01",
        "Bought      2026-10-01",
        "Price       1,040.50 EUR",
        "Supplier    the dealer",
        "Warranty    2028-10-01",
        "Note        hinge stiff",
        "Version     2",
    ]


def test_adding_says_how_to_print_the_label(run: Run, code_of: Code) -> None:
    out = run("item", "add", "CC-03").out

    code = code_of("CC-03")
    assert out == (
        f"CC-03 has the code {codes.shown(code)}.\n"
        f"Its label: kitlore label {code} --out label.pdf\n"
    )


def test_the_page_of_an_item_tells_faults_links_services_and_spares(run: Run) -> None:
    run("link", "connect", "CC-01", "out 1", "MM-01", "in 3", "--cable", "HD-04")
    run("service", "add", "cleaning", "dust out", "CC-01")

    page = run("item", "see", "CC-01")

    assert "- CC-01 out 1 -> MM-01 in 3, by HD-04 (link 1)\n" in page.out
    assert "the picture is greenish" in page.out
    assert "cleaning" in page.out
    assert page.out.partition("Ready in its place (1)\n")[2].count("CC-02") == 1
    asked = run("item", "see", "CC-01", "--json").json
    assert [fault["number"] for fault in asked["faults"]] == [1]
    assert [link["cable"] for link in asked["links"]] == ["HD-04"]


@pytest.mark.parametrize("spoil", [str.lower, codes.shown, lambda code: f"{code[:3]}-{code[3:]}"])
def test_a_code_is_taken_as_people_type_it(
    spoil: Callable[[str], str], run: Run, code_of: Code
) -> None:
    assert run("item", "see", spoil(code_of("CC-01"))).out.startswith("CC-01 (")


def test_a_wrong_check_character_is_told(run: Run, code_of: Code) -> None:
    code = code_of("CC-01")
    wrong = code[:5] + codes.ALPHABET[codes.ALPHABET.index(code[5]) - 1]

    result = run("item", "see", wrong)

    assert (result.code, result.out) == (2, "")
    assert result.err == (
        f"code: '{codes.shown(wrong)}' is no code, its last character does not agree with the "
        "others: at least one of the six is wrong. Read the label again.\n"
    )


def test_fields_are_changed_and_emptied_and_the_rest_stays(run: Run) -> None:
    run("item", "change", "CC-01", "--serial", "4417", "--note", "hinge stiff")

    assert run("item", "change", "CC-01", "--note", "", "--name", "CC-09").out == (
        "CC-09 is changed.\n"
    )
    page = run("item", "see", "CC-09", "--json").json
    assert (page["serial"], page["note"]) == ("4417", None)
    assert page["line"]["model"] == "Halvetta Tern 14"


def test_the_second_writer_is_told_what_the_first_changed(run: Run) -> None:
    version = run("item", "see", "CC-01", "--json").json["version"]
    run("item", "change", "CC-01", "--serial", "4417", "--seen", version)

    result = run("item", "change", "CC-01", "--serial", "4418", "--seen", version)

    assert result.code == 2
    assert "jp: serial nothing -> '4417'. Nothing of yours was written." in result.err
    assert run("item", "see", "CC-01", "--json").json["serial"] == "4417"


def test_an_item_moves_and_where_it_lay_stays_known(run: Run) -> None:
    moved = run("item", "move", "CC-01", "R1", "--reason", "test", "--at", "2026-11-19 16:00")
    assert moved.code == 2  # the place is called 'rack R1'

    assert run("item", "move", "CC-01", "rack R1", "--reason", "test").code == 0

    steps = run("history", "item", "CC-01", "--json").json
    assert steps[-1]["changes"] == {"place_id": ["Control room", "rack R1"]}


def test_a_position_takes_one_item(run: Run) -> None:
    run("item", "move", "CC-01", "recorder 1")

    result = run("item", "move", "CC-02", "recorder 1")

    assert (result.code, result.err) == (
        2,
        "recorder 1 is a position and CC-01 fills it. Move CC-01 first.\n",
    )


@pytest.mark.parametrize(
    ("words", "state"),
    [
        (("doubtful",), "doubtful"),
        (("set", "aside", "--reason", "drops out"), "set aside"),
        (("set aside", "--reason", "drops out"), "set aside"),
    ],
)
def test_a_state_is_said_in_its_own_words(words: tuple[str, ...], state: str, run: Run) -> None:
    assert run("item", "state", "HD-04", *words).out == f"HD-04 is {state}.\n"
    assert names(run, "--state", state) == ["HD-04"]


def test_a_retired_item_leaves_the_list_and_comes_back_by_its_state(run: Run) -> None:
    run("item", "retire", "HD-04", "--reason", "broken")
    assert "HD-04" not in names(run)

    result = run("item", "state", "HD-04", "fit")

    assert result.out == "HD-04 is fit.\n"
    assert "HD-04" in names(run)


def test_a_spare_takes_the_place_of_an_item_and_its_links(run: Run) -> None:
    run("link", "connect", "CC-01", "out", "MM-01", "in", "--cable", "HD-04")

    told = run("item", "swap", "CC-01", "CC-02", "--place", "drawer C1").out

    assert told == "CC-02 is in the place of CC-01 now; 1 link moved with it.\n"
    lines = {line["name"]: line["place"] for line in run("item", "list", "--json").json}
    assert lines["CC-02"] == "House/Control room"
    assert lines["CC-01"].endswith("drawer C1")


def test_both_codes_of_a_merged_item_lead_to_the_one_that_stays(run: Run, code_of: Code) -> None:
    old, new = code_of("CC-02"), code_of("CC-01")

    assert run("item", "merge", "CC-02", "CC-01").out == "CC-02 is one with CC-01 now.\n"

    assert run("item", "see", old, "--json").json["line"]["code"] == new
    assert f"Old codes  {codes.shown(old)}" in run("item", "see", new).out


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("see", "CC-99"), "No item 'CC-99'."),
        (("see", "AAAAAA"), "No item 'AAAAAA'."),
        (("add", "CC-01"), "There is an item 'CC-01' in use"),
        (("add", ""), "name: it is empty. Type something."),
        (("add", "X", "--price", "dear"), "price: 'dear' is no amount."),
        (("add", "X", "--in-service", "2026-13-01"), "in service: '2026-13-01' is no day."),
        (("add", "X", "--model", "Tern 99"), "No model 'Tern 99'. Near to it: Halvetta Tern 14"),
        (("add", "X", "--place", "attic"), "No place 'attic'."),
        (("add", "X", "--at", "25:00"), "time: '25:00' is no time."),
        (("change", "CC-01"), "option: say what to change; --help lists the options."),
        (("change", "CC-01", "--name", "CC-02"), "There is an item 'CC-02' in use"),
        (("change", "CC-99", "--note", "x"), "No item 'CC-99'."),
        (("move", "CC-01", "attic"), "No place 'attic'."),
        (("state", "CC-01", "set", "aside"), "reason: say why it's set aside."),
        (("state", "CC-01", "broken"), "state: 'broken' is none of 'fit'"),
        (("state", "CC-01", "retired"), "state: use 'kitlore item retire CC-01' for that."),
        (("state", "CC-01", "fit"), "CC-01 is fit already. Nothing was changed."),
        (("retire", "CC-01", "--reason", " "), "reason: say why it's retired."),
        (("swap", "CC-01", "CC-01"), "CC-01 can't take its own place."),
        (("swap", "CC-01", "CC-02", "--place", "attic"), "No place 'attic'."),
        (("merge", "CC-01", "CC-01"), "CC-01 is one item already"),
        (("merge", "CC-01", "CC-99"), "No item 'CC-99'."),
        (("list", "--class", "toaster"), "equipment class: 'toaster' is no class of equipment."),
        (("list", "--place", "attic"), "No place 'attic'."),
        (("list", "--limit", "0"), "Usage: kitlore item list"),
        (("list", "--state", "broken"), "Usage: kitlore item list"),
        (("retire", "CC-01"), "Usage: kitlore item retire"),
        (("move", "CC-01"), "Usage: kitlore item move"),
    ],
    ids=lambda words: " ".join(words) if isinstance(words, tuple) else "",
)
def test_what_is_wrong_is_told(words: tuple[str, ...], told: str, refused: Refused) -> None:
    assert refused("item", *words).startswith(told)

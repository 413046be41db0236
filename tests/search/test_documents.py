import json

import pytest

from kb.errors import InvalidError
from kb.search import documents
from kb.search.documents import Document


def test_a_part_counts_by_its_weight_and_equal_words_of_parts_add_up() -> None:
    page = Document("entry", "hum", "Hum", {"title": "hum hum", "causes": "hum, a loop"}, (), {})

    title, causes = documents.WEIGHTS["title"], documents.WEIGHTS["causes"]
    assert documents.weighted_terms(page) == {"hum": 2 * title + causes, "loop": causes}
    assert title > causes


def test_a_part_without_a_weight_is_refused_by_name() -> None:
    with pytest.raises(InvalidError, match="symtoms: it has no weight"):
        Document("entry", "hum", "Hum", {"symtoms": "a hum"}, (), {})


def test_exact_keys_leave_out_what_is_empty() -> None:
    item = Document("item", "K7Q2MX", "CC-01", {}, ("K7Q2MX", "CC-01", "", " - "), {})

    assert documents.exact_keys(item) == {"k7q2mx", "cc01"}


def test_what_is_stored_comes_back_as_it_was() -> None:
    stored: dict[str, documents.JSON] = {
        "fixes": [{"title": "Replug it \u00bb", "takes_s": 30, "tried": 0.5}],
        "swap": None,
    }
    page = Document("entry", "hum", "Hum", {}, (), stored)

    assert json.loads(documents.stored_text(page)) == stored


def test_each_kind_lies_in_one_index() -> None:
    kinds = [kind for held in documents.KINDS.values() for kind in held]

    assert sorted(kinds) == ["entry", "fault", "item", "word"]

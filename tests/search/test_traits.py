"""What symptom lines say in passing."""

import pytest

from kb.search import traits


def test_lines_are_counted_once_for_each_way_they_say_it() -> None:
    found = traits.counted(["only one screen is dark", "All screens went dark suddenly", "dark"])

    assert found["scope"] == {"one": 1, "all": 1}
    assert found["since"] == {"start": 0, "midway": 1, "change": 0}


@pytest.mark.parametrize("name", sorted(traits.TRAITS))
def test_the_shares_of_a_trait_add_up_and_follow_the_lines(name: str) -> None:
    kinds = traits.TRAITS[name]
    for counts in (dict.fromkeys(kinds, 0), {kind: n * 3 for n, kind in enumerate(kinds)}):
        shares = [traits.share(counts, kind) for kind in kinds]
        assert sum(shares) == pytest.approx(1)
        assert shares == sorted(shares)

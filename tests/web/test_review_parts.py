"""The reviews in parts, as pages: forms, charts, sheets and paper."""

import pytest
from fastapi.testclient import TestClient

pytestmark = pytest.mark.slow


def test_a_model_s_page_links_its_chart_sheet_and_paper(looking: TestClient) -> None:
    page = looking.get("/review/model?name=Granary 4").text
    assert "Getting worse" in page
    for path, kind in (
        ("/review/model/trend.svg?name=Granary%204", "image/svg+xml"),
        ("/review/model/trend.csv?name=Granary%204", "text/csv; charset=utf-8"),
        ("/review/model/paper.pdf?name=Granary%204", "application/pdf"),
    ):
        assert f'"{path}' in page
        answer = looking.get(path)
        assert (answer.status_code, answer.headers["content-type"]) == (200, kind)


def test_the_list_of_models_leads_to_each(looking: TestClient) -> None:
    assert "/review/model?name=Morvaxa+Granary+4" in looking.get("/review").text


def test_the_list_of_models_takes_the_window_and_the_limits(looking: TestClient) -> None:
    page = looking.get("/review?since=2026-01-01&confidence=0.8").text
    assert "exact two-sided 80 %" in page
    assert '<option value="0.8" selected>' in page
    assert "confidence=0.8" in page  # also of the chart
    assert looking.get("/review/models.svg?confidence=0.8").status_code == 200
    assert looking.get("/review?confidence=2").status_code == 422


def test_money_is_reckoned_with_what_was_filled_in(looking: TestClient) -> None:
    page = looking.get("/review/buy?name=recorder&interest=0.05&years=8").text
    assert "Reckoned with 8 years, interest 5 %" in page


def test_mending_is_weighed_against_a_new_one(looking: TestClient) -> None:
    asked = "name=RC-01&model=Granary 6&price=1690&repair=240&worth=300&resale=1300 1000"
    page = looking.get(f"/review/replace?{asked}&confidence=0.95").text
    assert "the new one costs 1,690.00 GBP, mending 240.00 GBP" in page
    assert "limits two-sided 95 %" in page
    assert 'value="1300 1000"' in page


def test_a_thing_and_a_model_lead_to_how_they_held_up(looking: TestClient) -> None:
    assert 'href="/review/item?name=' in looking.get("/CC-05").text
    assert 'href="/review/model?name=' in looking.get("/gear/models/Halvetta Tern 14").text


def test_classes_are_offered_until_one_is_chosen(looking: TestClient) -> None:
    assert 'href="/review/buy?name=recorder"' in looking.get("/review/buy").text


@pytest.mark.parametrize(
    ("path", "status", "told"),
    [
        ("/review/buy?name=nothing", 404, "No class"),
        ("/review/model?name=Nothing 9", 404, "Nothing 9"),
        ("/review/before?name=Tern 14", 422, "day: it"),
        ("/review/drives?since=soon", 422, "since"),
        ("/review/drives?confidence=2", 422, "confidence"),
        ("/review/first?rank=luck", 422, "rank"),
        ("/review/model/nothing.svg?name=Granary 4", 404, "nothing"),
        ("/review/model/causes.svg?name=Granary 4", 404, "causes"),
        ("/review/model/follows.csv?name=Granary 4", 404, "follows"),
        ("/review/model/paper.pdf", 422, "name"),
        ("/review/replace?name=RC-01", 422, "model"),
        ("/review/replace?name=RC-01&model=Granary 6&price=dear", 422, "no amount"),
        ("/review/replace?name=RC-01&model=Granary 6&resale=1 x", 422, "no amount"),
        ("/review/nothing", 422, ""),
    ],
)
def test_what_can_t_be_shown_is_told(
    path: str, status: int, told: str, looking: TestClient
) -> None:
    answer = looking.get(path)
    assert answer.status_code == status
    assert told in answer.text

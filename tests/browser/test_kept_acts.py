"""What is done on a fault is neither lost nor done twice, whatever is cut."""

from collections.abc import Callable
from pathlib import Path

import pytest
from browser.conftest import PHONE, Screens, Served, kitlore
from PIL import Image
from playwright.sync_api import Page, Route, ViewportSize, expect

pytestmark = pytest.mark.slow
ENTRY = "display-colour-shift"
SIDEWAYS: ViewportSize = {"width": 844, "height": 390}
PATIENCE = 20_000


@pytest.fixture
def number(served: Served) -> int:
    """A fault that follows an entry and has been noticed just now."""
    words = ("log", "CC-05", "picture turns green", "--entry", ENTRY, "--json")
    found: int = served.call(*words)["fault"]
    return found


@pytest.fixture
def page(served: Served, screens: Screens, number: int) -> Page:
    """The fault's page, open on a phone."""
    found = screens.open(served, PHONE)
    found.goto(f"{served.address}/faults/{number}")
    return found


def tried(served: Served, number: int) -> list[str]:
    """Return how the attempts on the fault ended."""
    found = served.call("fault", "see", str(number), "--json")["attempts"]
    return [one["outcome"] for one in found]


def fail(page: Page) -> None:
    """Say that the fix that stands open did not work."""
    page.locator("details[open] button", has_text="Did not work").first.click()


def work(page: Page) -> None:
    page.locator("details[open] button", has_text="Worked").first.click()


def swap(page: Page) -> None:
    page.locator("#swap summary").click()
    page.locator("#swap-worked").click()


def other(page: Page) -> None:
    page.locator("#other-act summary").click()
    page.get_by_label("What was done").fill("turned it round")
    page.locator("#other-failed").click()


def close(page: Page) -> None:
    page.locator("#closing summary").click()
    page.get_by_label("own failure").check()
    page.get_by_label("In words").fill("its fan")
    page.locator("#close").click()


ACTS: list[tuple[Callable[[Page], None], list[str], str]] = [
    (fail, ["did not work"], "open"),
    (work, ["worked"], "watched"),
    (swap, ["worked"], "watched"),
    (other, ["did not work"], "open"),
    (close, [], "closed"),
]


def unsent(page: Page) -> None:
    expect(page.locator("#unsent")).to_contain_text("Not sent yet")


def arrived(page: Page) -> None:
    """Wait until nothing waits any more and the fault is shown anew."""
    expect(page.locator("#unsent")).to_be_hidden(timeout=PATIENCE)
    expect(page.get_by_text("on its way")).to_have_count(0, timeout=PATIENCE)


@pytest.mark.parametrize(("act", "ends", "state"), ACTS)
def test_cut_off_it_says_so_and_is_done_once(
    act: Callable[[Page], None],
    ends: list[str],
    state: str,
    page: Page,
    served: Served,
    number: int,
) -> None:
    page.context.set_offline(True)
    act(page)
    unsent(page)
    page.set_viewport_size(SIDEWAYS)
    unsent(page)
    page.context.set_offline(False)

    arrived(page)
    found = served.call("fault", "see", str(number), "--json")
    assert [one["outcome"] for one in found["attempts"]] == ends
    assert found["line"]["state"] == state


@pytest.mark.parametrize(("act", "ends", "state"), ACTS[1:3])
def test_a_server_killed_between_commit_and_answer_has_done_it_once(
    act: Callable[[Page], None],
    ends: list[str],
    state: str,
    page: Page,
    served: Served,
    number: int,
) -> None:
    def killed(route: Route) -> None:
        if route.request.method != "POST" or answers:
            route.continue_()
            return
        assert served.process is not None
        answers.append(route.fetch(max_redirects=0).status)
        served.process.kill()
        served.process.wait()
        route.abort()

    answers: list[int] = []
    page.route(f"**/faults/{number}/*", killed)
    act(page)
    while not answers:
        page.wait_for_timeout(50)
    assert answers == [303]  # it's committed
    unsent(page)
    served.start()

    arrived(page)
    found = served.call("fault", "see", str(number), "--json")
    assert [one["outcome"] for one in found["attempts"]] == ends
    assert found["line"]["state"] == state


def test_a_double_press_is_one_attempt(page: Page, served: Served, number: int) -> None:
    page.locator("details[open] button", has_text="Did not work").first.dblclick()
    arrived(page)
    assert tried(served, number) == ["did not work"]


def test_a_photo_outlives_the_page_and_the_server(
    page: Page, served: Served, number: int, tmp_path: Path
) -> None:
    path = tmp_path / "IMG_0001.JPG"
    Image.effect_noise((640, 480), 40).convert("RGB").save(path)
    page.locator("#picture summary").click()
    page.locator("input[type=file]").set_input_files(path)
    served.stop()
    page.get_by_role("button", name="Add it").click()
    unsent(page)
    context = page.context
    page.close()
    served.start()

    later = context.new_page()
    later.goto(f"{served.address}/gear")
    expect(later.locator("#unsent")).to_contain_text("Sent now", timeout=PATIENCE)
    later.get_by_role("link", name="See it").click()
    later.wait_for_url(f"**/faults/{number}")
    assert later.locator("figure img").count() == 1


def test_a_correction_is_made_once_and_its_words_outlive_a_reload(
    page: Page, served: Served, number: int
) -> None:
    page.goto(f"{served.address}/faults/{number}/correct")
    page.get_by_label("What was reported").fill("picture turns red")
    page.reload()
    expect(page.get_by_label("What was reported")).to_have_value("picture turns red")
    served.stop()
    page.get_by_role("button", name="Mend it").click()
    unsent(page)
    served.start()

    page.wait_for_url(f"**/faults/{number}", timeout=PATIENCE)
    expect(page.locator("h1")).to_have_text("picture turns red")
    arrived(page)


def test_what_was_typed_on_a_fault_outlives_a_reload(page: Page) -> None:
    page.locator("#closing summary").click()
    page.get_by_label("In words").fill("its fan")
    page.reload()
    expect(page.get_by_label("In words")).to_be_visible()
    expect(page.get_by_label("In words")).to_have_value("its fan")


def test_two_phones_on_a_fault_that_one_closes_lose_no_words(
    page: Page, served: Served, screens: Screens, number: int
) -> None:
    page.context.set_offline(True)
    other(page)
    unsent(page)
    second = screens.open(served, PHONE)
    second.goto(f"{served.address}/faults/{number}")
    close(second)
    expect(second.locator("#reopen")).to_be_visible()
    page.context.set_offline(False)

    told = page.locator("#unsent")
    expect(told).to_contain_text("Reopen it first", timeout=PATIENCE)
    expect(told).to_contain_text("turned it round")
    page.reload()
    expect(told).to_contain_text("turned it round")
    assert tried(served, number) == []

    page.locator("#reopen").click()
    expect(page.locator("#reopen")).to_have_count(0)
    told.get_by_role("button", name="Send it again").click()
    expect(told).to_contain_text("Sent now", timeout=PATIENCE)
    assert tried(served, number) == ["did not work"]


def test_closing_what_another_changed_keeps_the_words_in_the_form(
    page: Page, served: Served, number: int
) -> None:
    page.context.set_offline(True)
    close(page)
    unsent(page)
    kitlore("-w", str(served.folder), "fault", "correct", str(number), "--effect", "degraded")
    page.context.set_offline(False)

    expect(page.get_by_role("alert")).to_contain_text("was changed", timeout=PATIENCE)
    expect(page.get_by_label("In words")).to_have_value("its fan")
    expect(page.locator("#unsent")).to_be_hidden()
    page.locator("#close").click()
    expect(page.locator("#reopen")).to_be_visible(timeout=PATIENCE)


def test_a_phone_that_sleeps_sends_when_it_wakes(page: Page, served: Served, number: int) -> None:
    served.stop()
    fail(page)
    unsent(page)
    phone = page.context.new_cdp_session(page)
    phone.send("Debugger.enable")
    phone.send("Debugger.pause")
    served.start()
    assert tried(served, number) == []
    phone.send("Debugger.disable")
    arrived(page)
    assert tried(served, number) == ["did not work"]

"""Nothing gets lost and nothing is there twice, whatever is cut while a fault is logged."""

import io
import time
from pathlib import Path

import pytest
from browser.conftest import PHONE, Screens, Served
from PIL import Image
from playwright.sync_api import Page, Response, Route, ViewportSize, expect

pytestmark = pytest.mark.slow
WORDS = "picture turns green after lunch"
SIDEWAYS: ViewportSize = {"width": 844, "height": 390}
PHOTOS_KEPT = """() => new Promise(done => {
  const asked = indexedDB.open("kitlore");
  asked.onsuccess = () => {
    const all = asked.result.transaction("photos").objectStore("photos").getAllKeys();
    all.onsuccess = () => done(all.result.length);
  };
})"""
PATIENCE = 20_000


@pytest.fixture(scope="module")
def picture(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A photo that a phone might take."""
    path = tmp_path_factory.mktemp("photo") / "IMG_0001.JPG"
    Image.effect_noise((640, 480), 40).convert("RGB").save(path, quality=80)
    return path


@pytest.fixture
def form(served: Served, screens: Screens) -> Page:
    """The form for a fault on a thing, open on a phone."""
    page = screens.open(served, PHONE)
    page.goto(f"{served.address}/{served.code('CC-05')}/log")
    return page


def logged(served: Served, words: str = WORDS) -> list[int]:
    """Return the numbers of the faults of these words."""
    lines = served.call("fault", "list", "--json")
    return [line["number"] for line in lines if line["text"] == words]


def fill(page: Page, photo: Path | None = None) -> None:
    page.get_by_label("In your own words").fill(WORDS)
    if photo is not None:
        page.locator("input[type=file]").set_input_files(photo)


def press(page: Page) -> None:
    page.get_by_role("button", name="Log it", exact=True).click()


def arrived(page: Page, served: Served) -> int:
    """Wait until the fault's page is there, and return its number; there is one such fault."""
    page.wait_for_url("**/faults/*", timeout=PATIENCE)
    expect(page.locator("h1")).to_have_text(WORDS)
    expect(page.locator("#unsent")).to_be_hidden()
    (number,) = logged(served)
    return int(number)


def test_from_a_scanned_address_to_a_stored_fault_in_ten_seconds(
    served: Served, screens: Screens
) -> None:
    """A press takes 0.8 s, a character 0.2 s; what the machine takes comes on top, measured.

    The median of three, since others work on this machine too.
    """
    code, words = served.code("CC-05"), WORDS[:30]
    assert len(words) == 30
    took = []
    for number in range(3):
        page, stored = screens.open(served, PHONE), list[float]()

        def note(answer: Response, stored: list[float] = stored) -> None:
            if answer.status == 303:
                stored.append(time.monotonic())

        page.on("response", note)
        presses, began = 0, time.monotonic()
        page.goto(f"{served.address}/{code}")
        for one in (
            page.get_by_role("link", name="Something is wrong"),
            page.get_by_label("In your own words"),
            page.get_by_role("button", name="Log it", exact=True),
        ):
            one.click()
            presses += 1
            if presses == 2:
                page.keyboard.type(words)
        page.wait_for_url("**/faults/*")
        took.append(0.8 * presses + len(words) / 5 + stored[0] - began)
        assert presses <= 3
        assert len(logged(served, words)) == number + 1
    assert sorted(took)[1] <= 10, took


def test_cut_off_it_says_so_and_is_sent_once_the_network_is_back(
    form: Page, served: Served, picture: Path
) -> None:
    fill(form, picture)
    form.context.set_offline(True)
    press(form)
    expect(form.locator("#unsent")).to_contain_text("Not sent yet")
    form.set_viewport_size(SIDEWAYS)  # turned in the hand
    expect(form.locator("#unsent")).to_contain_text(WORDS)
    press(form)  # impatient

    form.context.set_offline(False)

    arrived(form, served)
    assert form.locator("figure img").count() == 1


def test_a_server_that_stops_and_starts_gets_it_with_its_photo(
    form: Page, served: Served, picture: Path
) -> None:
    fill(form, picture)
    served.stop()
    press(form)
    expect(form.locator("#unsent")).to_contain_text("Not sent yet")
    served.start()

    arrived(form, served)
    assert form.locator("figure img").count() == 1


def test_a_server_killed_between_commit_and_answer_keeps_one_fault(
    form: Page, served: Served, picture: Path
) -> None:
    def killed(route: Route) -> None:
        assert served.process is not None
        if answers:
            route.continue_()
            return
        answer = route.fetch(max_redirects=0)
        answers.append(answer.status)
        served.process.kill()
        served.process.wait()
        route.abort()

    answers: list[int] = []
    form.route("**/log", killed)
    fill(form, picture)
    press(form)
    while not answers:
        form.wait_for_timeout(50)
    assert answers == [303]  # it's committed
    served.start()

    arrived(form, served)
    assert form.locator("figure img").count() == 1


def test_cut_before_it_arrived_twice_it_is_still_one_fault(form: Page, served: Served) -> None:
    tries: list[str] = []

    def cut(route: Route) -> None:
        tries.append(route.request.url)
        if len(tries) == 1:
            route.abort()
        elif len(tries) == 2:
            route.fetch(max_redirects=0)
            route.abort()
        else:
            route.continue_()

    form.route("**/log", cut)
    fill(form)
    press(form)

    arrived(form, served)
    assert len(tries) == 3


def test_a_page_closed_before_it_was_sent_sends_it_from_the_next(
    form: Page, served: Served, picture: Path
) -> None:
    fill(form, picture)
    served.stop()
    press(form)
    expect(form.locator("#unsent")).to_contain_text("Not sent yet")
    context = form.context
    form.close()
    served.start()

    later = context.new_page()
    later.goto(f"{served.address}/gear")

    expect(later.locator("#unsent")).to_contain_text("Sent now", timeout=PATIENCE)
    (number,) = logged(served)
    later.get_by_role("link", name="See it").click()
    later.wait_for_url(f"**/faults/{number}")
    assert later.locator("figure img").count() == 1
    assert later.locator("#unsent").is_hidden()


def test_what_was_typed_and_the_photo_outlive_a_reload(
    form: Page, served: Served, picture: Path
) -> None:
    fill(form, picture)
    form.wait_for_function(PHOTOS_KEPT)
    form.reload()

    expect(form.get_by_label("In your own words")).to_have_value(WORDS)
    form.wait_for_function("() => document.querySelector('input[type=file]').files.length")
    press(form)
    arrived(form, served)
    assert form.locator("figure img").count() == 1
    form.goto(f"{served.address}/{served.code('CC-05')}/log")
    expect(form.get_by_label("In your own words")).to_have_value("")


def test_a_double_press_is_one_fault(form: Page, served: Served) -> None:
    fill(form)
    form.get_by_role("button", name="Log it", exact=True).dblclick()

    arrived(form, served)


def test_a_phone_that_sleeps_sends_when_it_wakes(form: Page, served: Served) -> None:
    fill(form)
    served.stop()
    press(form)
    expect(form.locator("#unsent")).to_contain_text("Not sent yet")
    phone = form.context.new_cdp_session(form)
    phone.send("Debugger.enable")
    phone.send("Debugger.pause")  # nothing of the page runs any more
    served.start()
    assert logged(served) == []
    phone.send("Debugger.disable")

    arrived(form, served)


@pytest.mark.parametrize(
    ("status", "told"),
    [(503, "can't keep it just now"), (429, "it waits a while"), (403, "It was refused")],
)
def test_what_is_refused_for_now_is_kept(
    status: int, told: str, form: Page, served: Served
) -> None:
    page = "<main id='main'><h1>Not just now</h1></main>"
    form.route("**/log", lambda route: route.fulfill(status=status, body=page))
    fill(form)
    press(form)
    expect(form.locator("#unsent")).to_contain_text(told)
    form.unroute("**/log")
    form.goto(served.address)

    expect(form.locator("#unsent")).to_contain_text("Sent now", timeout=PATIENCE)
    assert len(logged(served)) == 1


def test_what_can_never_be_sent_can_be_thrown_away(form: Page, served: Served) -> None:
    form.route("**/log", lambda route: route.fulfill(status=403, body="<main id='main'></main>"))
    fill(form)
    press(form)
    form.get_by_role("button", name="Throw it away").click()

    expect(form.locator("#unsent")).to_be_hidden()
    form.goto(served.address)
    expect(form.locator("#unsent")).to_be_hidden()
    assert logged(served) == []


def test_a_mistake_brings_the_form_back_with_photo_and_words(
    served: Served, screens: Screens, picture: Path
) -> None:
    page = screens.open(served, PHONE)
    page.goto(f"{served.address}/log")
    fill(page, picture)
    page.get_by_label("On which thing?").fill("ZZ-99")
    press(page)
    expect(page.get_by_role("alert")).to_contain_text("ZZ-99")
    expect(page.get_by_label("In your own words")).to_have_value(WORDS)
    page.wait_for_function("() => document.querySelector('input[type=file]').files.length")

    page.get_by_label("On which thing?").fill("CC-05")
    press(page)
    arrived(page, served)
    assert page.locator("figure img").count() == 1


@pytest.mark.parametrize("script", [True, False], ids=["with script", "without"])
def test_a_picture_of_48_megapixels_is_made_small(
    served: Served, screens: Screens, tmp_path: Path, *, script: bool
) -> None:
    path = tmp_path / "IMG_0048.JPG"
    Image.new("RGB", (8000, 6000), "teal").save(path)
    page = screens.open(served, PHONE, script=script)
    sent: list[int] = []
    page.on("request", lambda one: sent.append(len(one.post_data_buffer or b"")))
    page.goto(f"{served.address}/{served.code('CC-05')}/log")
    fill(page, path)
    press(page)
    page.wait_for_url("**/faults/*", timeout=60_000)

    shown = page.locator("figure img")
    assert (shown.get_attribute("width"), shown.get_attribute("height")) == ("2000", "1500")
    assert not script or max(sent) < path.stat().st_size


def test_a_picture_that_no_browser_here_reads_is_refused_with_a_sentence(
    form: Page, served: Served, tmp_path: Path
) -> None:
    path = tmp_path / "IMG_0002.HEIC"
    path.write_bytes(b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + bytes(400))
    fill(form, path)
    press(form)

    expect(form.get_by_role("alert")).to_contain_text("HEIC")
    expect(form.locator("h1")).to_have_text(WORDS)  # the words are kept
    assert len(logged(served)) == 1
    expect(form.locator("#unsent")).to_be_hidden()


def test_a_picture_too_large_to_be_sent_does_not_hold_the_words_back(
    form: Page, served: Served, tmp_path: Path
) -> None:
    path = tmp_path / "IMG_0003.HEIC"
    path.write_bytes(io.BytesIO(b"\x00\x00\x00\x18ftypheic").getvalue() + bytes(26_000_000))
    fill(form, path)
    press(form)

    arrived(form, served)
    assert form.locator("figure img").count() == 0

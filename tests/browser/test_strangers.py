"""An unknown phone on the crew's network: leaves a fault, is let in, is back where it scanned."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.conftest import DESK, PHONE, Screens, Served
from PIL import Image
from playwright.sync_api import expect

from kb.crew import hosts

pytestmark = pytest.mark.slow


@pytest.fixture
def network(served: Served) -> Iterator[Served]:
    """The studio served to the crew's network."""
    if hosts.lan_address() in hosts.LOOPBACK:
        pytest.skip("this machine has no network")
    served.stop()
    served.words = ("--lan",)
    served.start()
    yield served
    served.words = ()


def test_a_fault_is_left_and_adopted(network: Served, screens: Screens, tmp_path: Path) -> None:
    Image.new("RGB", (640, 480), "teal").save(tmp_path / "p.jpg")
    phone, lead = screens.open(network, PHONE), screens.open(network, DESK)
    phone.goto(f"{address(network)}/{network.code('CC-05')}")
    expect(phone.locator("h1")).to_have_text("This phone isn't known here")
    found = Axe().run(phone, options={"rules": {"color-contrast-enhanced": {"enabled": True}}})
    assert found.violations_count == 0, found.generate_report()

    phone.get_by_label("What do you see or hear?").fill("no picture")
    phone.locator("input[type=file]").set_input_files(tmp_path / "p.jpg")
    phone.context.set_offline(True)
    phone.get_by_role("button", name="Leave it for the crew").click()
    expect(phone.locator("#unsent")).to_contain_text("Not sent yet")
    phone.context.set_offline(False)
    phone.wait_for_url("**/unknown/kept**")

    lead.goto(f"{network.address}/faults/{phone.url.rsplit('=', 1)[1]}")
    expect(lead.locator("main")).to_contain_text("from an unknown phone")
    assert lead.locator("figure img").count() == 1
    lead.get_by_role("button", name="Adopt it").click()
    expect(lead.locator("main")).not_to_contain_text("from an unknown phone")


def test_let_in_a_phone_is_back_at_the_label(network: Served, screens: Screens) -> None:
    there = f"{address(network)}/{network.code('CC-05')}"
    phone, lead = screens.open(network, PHONE), screens.open(network, DESK)
    phone.goto(there)
    lead.goto(f"{network.address}/access")
    lead.get_by_label("Whose is it?").select_option("J.P.")
    lead.get_by_role("button", name="Show the symbol").click()
    expect(lead.locator("img.symbol")).to_be_visible()
    assert lead.evaluate("document.querySelector('img.symbol').naturalWidth") > 0

    phone.goto(lead.locator(".code-address").inner_text())
    phone.get_by_role("button", name="let it in").click()
    phone.wait_for_url(there)

    expect(phone.locator("footer")).to_contain_text("You are J.P.")
    assert "kitlore-phone" not in phone.evaluate("document.cookie")  # no script reads it


def address(network: Served) -> str:
    """Return how the machine is reached by phones."""
    return f"http://{hosts.lan_address()}:{network.port}"

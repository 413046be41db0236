import dataclasses
import re
from xml.etree import ElementTree as ET

from kb.entries import pages, parse, render
from kb.entries.model import Section


def test_a_section_shows_cautions_above_the_steps() -> None:
    section = Section(("hot & heavy",), ("<go>", "`F 1`"), "it", "*not*")
    assert pages.section_html(section).split("\n") == [
        '<p class="caution"><strong>Caution:</strong> hot &amp; heavy</p>',
        "<ol><li>&lt;go&gt;</li><li><code>F 1</code></li></ol>",
        '<p class="see"><strong>You should see:</strong> it</p>',
        '<p class="stop"><strong>Stop when:</strong> <em>not</em></p>',
    ]


def test_points_without_order_are_not_numbered() -> None:
    assert pages.section_html(Section(steps=("a",)), numbered=False) == "<ul><li>a</li></ul>"


# The outside reference is the standard library's XML parser: what it takes is well nested.
def test_the_body_shows_danger_first_and_every_text(sample: str) -> None:
    entry = parse.entry_from(sample)
    root = ET.fromstring(f"<div>{render.to_html(entry)}</div>")  # noqa: S314 - our own HTML
    names = [part.get("id") for part in root.iter("section")]
    assert names == [
        "first-acts",
        "fix-push",
        "fix-other-outlet",
        "fix-wait",
        "swap",
        "afterwards",
    ]
    assert root[0].get("id") == "first-acts"
    shown = " ".join("".join(root.itertext()).split())
    body = sample.split("\n---\n")[1]
    for line in body.splitlines():
        text = re.sub(r"^(## |\d\. |- |> )|(?: \{#[a-z-]+\})", "", line)
        assert text in shown


def test_a_fix_tells_its_price(sample: str) -> None:
    html = render.to_html(parse.entry_from(sample))
    assert (
        '<section id="fix-push">\n<h2>Push the plug home</h2>\n'
        '<p class="price">20 s, interrupts nothing</p>\n<ol>'
    ) in html


def test_titles_are_escaped(sample: str) -> None:
    entry = parse.entry_from(sample)
    fix = dataclasses.replace(entry.fixes[0], title="<i>a</i>")
    html = render.to_html(dataclasses.replace(entry, fixes=(fix,)))
    assert "<h2>&lt;i&gt;a&lt;/i&gt;</h2>" in html

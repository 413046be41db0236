"""The parts of an entry's body as HTML: danger on top, then what to do in order."""

import html
from collections.abc import Iterator

from kb.entries import spoken
from kb.entries.inline import inline_html
from kb.entries.model import Entry, Fix, Section, Swap
from kb.entries.words import AFTERWARDS, CAUTION, FIRST_ACTS, SEE, STOP, SWAP_KEY


def parts(entry: Entry) -> Iterator[str]:
    """Yield the parts of the body."""
    if not entry.first_acts.is_empty:
        yield _part("first-acts", FIRST_ACTS, section_html(entry.first_acts))
    yield from (f"<p>{inline_html(paragraph)}</p>" for paragraph in entry.about)
    for fix in entry.fixes:
        yield _part(f"fix-{fix.key}", inline_html(fix.title), _told(fix))
    if entry.swap:
        yield _part(SWAP_KEY, inline_html(entry.swap.title), _told(entry.swap))
    if not entry.afterwards.is_empty:
        yield _part("afterwards", AFTERWARDS, section_html(entry.afterwards, numbered=False))


def section_html(section: Section, *, numbered: bool = True) -> str:
    """Return what stands under one heading, cautions above the steps.

    Args:
        section: A fix's section, or another.
        numbered: Whether the steps have an order.
    """
    return "\n".join(_blocks(section, "ol" if numbered else "ul"))


def _part(name: str, title: str, content: str) -> str:
    anchor = html.escape(name)
    return f'<section id="{anchor}">\n<h2>{title}</h2>\n{content}\n</section>'


def _told(act: Fix | Swap) -> str:
    price = f'<p class="price">{html.escape(spoken.price(act))}</p>'
    return f"{price}\n{section_html(act.section)}"


def _blocks(section: Section, listing: str) -> Iterator[str]:
    for caution in section.cautions:
        yield _marked("caution", CAUTION, caution)
    if section.steps:
        steps = "".join(f"<li>{inline_html(step)}</li>" for step in section.steps)
        yield f"<{listing}>{steps}</{listing}>"
    if section.see:
        yield _marked("see", SEE, section.see)
    if section.stop:
        yield _marked("stop", STOP, section.stop)


def _marked(name: str, opening: str, text: str) -> str:
    return f'<p class="{name}"><strong>{opening}</strong> {inline_html(text)}</p>'

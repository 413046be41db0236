"""An entry as the text of its file, as text for a terminal, and as HTML for a page."""

from kb.entries import form, pages, terminal
from kb.entries.model import Entry

_NARROWEST = 30


def to_markdown(entry: Entry) -> str:
    """Return the text of the entry's file in house form; parsed, it gives the same entry."""
    front = "\n".join(form.front(entry))
    body = "\n\n".join(form.body(entry))
    return f"{front}\n{body}\n"


def to_text(entry: Entry, width: int = 80) -> str:
    """Return the entry to be read in a terminal: danger on top, then what to do in order.

    Args:
        entry: The entry.
        width: Columns of the terminal; under thirty it is read as thirty.
    """
    blocks = terminal.blocks(entry, max(width, _NARROWEST))
    return "\n\n".join("\n".join(block) for block in blocks) + "\n"


def to_html(entry: Entry) -> str:
    """Return the body as HTML: first acts, what it is about, fixes, swap, work for afterwards.

    Headings are of the second rank; a fix can be pointed at as '#fix-KEY'.
    """
    return "\n".join(pages.parts(entry))

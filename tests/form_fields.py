"""What stands in a form of a page, so that a test sends back what a browser would."""

import html
import re

from fastapi.testclient import TestClient

_SKIPPED = ("q", "back", "theme")
_WORDS = re.compile(r'<textarea[^>]* name="(\w+)"[^>]*>(.*?)</textarea>', re.DOTALL)
_CHOICE = re.compile(r'<select[^>]* name="(\w+)"[^>]*>(.*?)</select>', re.DOTALL)


def fields(client: TestClient, path: str) -> dict[str, str]:
    """Return what stands in each field of the form on a page, by its name."""
    text = client.get(path).text
    main = text[text.index("<main") : text.index("</main>")]
    found = dict(re.findall(r'<input[^>]* name="(\w+)"[^>]* value="([^"]*)"', main))
    found |= dict(_WORDS.findall(main))
    for name, options in _CHOICE.findall(main):
        chosen = re.search(r'<option value="([^"]*)" selected', options)
        first = re.search(r'<option value="([^"]*)"', options)
        stands = chosen or first
        found[name] = stands[1] if stands else ""
    return {name: html.unescape(value) for name, value in found.items() if name not in _SKIPPED}


def rows(page: str) -> list[list[str]]:
    """Return the cells of a list, a row each, as a person reads them."""
    body = re.findall(r"<tbody>(.*?)</tbody>", page, re.DOTALL)
    found = re.findall(r"<tr>(.*?)</tr>", "".join(body), re.DOTALL)
    return [
        [
            " ".join(html.unescape(re.sub(r"<[^>]+>", " ", cell)).split())
            for cell in re.findall(r"<td[^>]*>(.*?)</td>", row, re.DOTALL)
        ]
        for row in found
    ]

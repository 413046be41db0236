"""How a review in parts looks in the terminal: told, as JSON, as CSV, on paper."""

from pathlib import Path
from typing import Any

import typer

from kb.cli import output
from kb.errors import InvalidError, NotFoundError, Problem

# Headings that would be wider than what stands under them.
_SHORT = {
    "Unit-days": "Days",
    "Drive-days": "Days",
    "Failures": "Fail.",
    "Against, failures": "Fail.",
    "Unit-shows": "Shows",
    "Per 100 shows": "Per 100",
    "Days in service": "Days",
    "Minutes lost": "Min.",
    "Shrunk low": "Low",
    "Shrunk high": "High",
    "At the rate seen": "Seen",
    "Rate uncertain": "Keep",
    "Chance in a year": "Chance",
    "Chance low": "Low",
    "Chance high": "High",
    "Expected low": "Low",
    "Expected high": "High",
    "Running": "So far",
    "Warranty until": "Warranty",
    "Too young": "Young",
}


def show(found: Any) -> None:  # noqa: ANN401 - loaded late
    """Print what a review says; tables that the sentences hold already are left out."""
    output.emphasised(found.title)
    output.say(found.basis)
    for part in found.parts:
        output.say()
        output.emphasised(part.title)
        for sentence in part.sentences:
            output.say(f"- {sentence}")
        if part.table and part.table.rows and not part.table.is_said:
            heads = [
                f"{'>' * (one.form != 'text')}{_SHORT.get(one.name, one.name)}"
                for one in part.table.columns
            ]
            output.table(heads, part.table.told(), "")
        if part.line:
            output.say(part.line, "  ")


def plain(found: Any) -> dict[str, object]:  # noqa: ANN401 - loaded late
    """Return the review in the form that scripts rely on: tables as rows of named values."""
    window = found.frame.window
    return {
        "title": found.title,
        "from": window.since,
        "until": window.until,
        "confidence": found.frame.confidence,
        "log_began": found.frame.began,
        "records": found.frame.version,
        "parts": [
            {
                "part": one.key,
                "title": one.title,
                "sentences": one.sentences,
                "rows": one.table.named() if one.table else [],
                "definition": one.line,
            }
            for one in found.parts
        ],
    }


def csv(found: Any, key: str) -> None:  # noqa: ANN401 - loaded late
    """Print the table of a part as CSV.

    Raises:
        NotFoundError: There is no such part, or it has no table.
    """
    part = found.part(key)
    if part is None or part.table is None:
        known = ", ".join(one.key for one in found.parts if one.table)
        raise NotFoundError("table", key, f"There are: {known or 'none'}.")
    from kb.exchange import csv_form

    typer.echo(csv_form.written(*part.table.as_texts()), nl=False)


def print_into(found: Any, out: Path, studio: str) -> None:  # noqa: ANN401 - loaded late
    """Print a review into a file.

    Raises:
        InvalidError: The file isn't named as a PDF.
        StorageError: It can't be written.
    """
    if out.suffix.lower() != ".pdf":
        raise InvalidError([Problem("out", f"{out} is no .pdf file. Give it that ending.")])
    from kb.records.settings import write_whole
    from kb.review import printed

    write_whole(out, printed.pdf(found, studio))
    typer.echo(f"Printed into {out}.", err=True)

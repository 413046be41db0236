"""`word`: what the crew calls things, so that the search knows it too."""

from typing import Annotated

import typer

from kb.cli import desk, output
from kb.cli.options import Json


def add_to(app: typer.Typer) -> None:
    """Add the word `word`."""
    group = typer.Typer(help="The crew's own words for things.", no_args_is_help=True)
    for name, command in (("list", list_), ("add", add), ("remove", remove)):
        group.command(name)(command)
    app.add_typer(group, name="word")


def list_(as_json: Json = False) -> None:
    """List the crew's own words and what they mean.

    Example: kitlore word list
    """
    from kb.search import words

    here = desk.chosen()
    with desk.reading(here) as session:
        found = words.own_words(session)
    if as_json:
        output.as_json(found)
        return
    zone = here.settings.timezone
    rows = [(x.number, x.word, x.means, x.by, output.local(x.at, zone)) for x in found]
    output.table((">No", "Word", "Means", "By", "When"), rows, "No word of your own yet.")


def add(
    word: Annotated[str, typer.Argument(help="As people here say it.", metavar="WORD")],
    means: Annotated[
        str, typer.Argument(help="The same in words that entries hold.", metavar="MEANS")
    ],
    as_json: Json = False,
) -> None:
    """Tell the search what a word of the crew's own means.

    Example: kitlore word add "the goose" "clip-on microphone"
    """
    from kb.search import words

    here = desk.chosen()
    with desk.writing(here) as session:
        number = words.add_word(session, {"word": word, "means": means}, desk.now(here))
    if as_json:
        output.as_json({"word": number})
    else:
        output.say(f"'{word}' means '{means}' here.")


def remove(
    number: Annotated[int, typer.Argument(help="The word's number.", min=1, metavar="NO")],
) -> None:
    """Take back what a word means.

    Example: kitlore word remove 3
    """
    from kb.search import words

    here = desk.chosen()
    with desk.writing(here) as session:
        words.remove_word(session, number, desk.now(here))
    output.say(f"Word {number} is taken back.")

"""`word`: what the crew calls things is told to the search and taken back."""

from calls import Refused, Run


def test_a_word_of_the_crew_finds_what_it_means_until_it_is_taken_back(run: Run) -> None:
    assert run("word", "list").out == "No word of your own yet.\n"
    assert run("find", "the gribble", "--json").json["results"] == []
    assert (
        run("word", "add", "gribble", "steady hum").out == "'gribble' means 'steady hum' here.\n"
    )
    (line,) = run("word", "list", "--json").json
    assert (line["number"], line["word"], line["means"]) == (1, "gribble", "steady hum")

    found = run("find", "the gribble", "--json").json
    assert found["results"][0]["id"] == "audio-hum"

    assert run("word", "remove", 1).out == "Word 1 is taken back.\n"
    assert run("find", "the gribble", "--json").json["results"] == []


def test_what_is_no_word_is_told(refused: Refused) -> None:
    assert refused("word", "add", "", "hum").startswith("word: ")
    assert refused("word", "add", "the", "hum").startswith("word: say it with a word that")
    assert refused("word", "remove", 7).startswith("No word '7'.")

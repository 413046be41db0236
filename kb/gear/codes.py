"""Make, read and show the code on a label.

A code is five random data characters and a check character. The alphabet has 23 characters, a
prime, and leaves out look-alikes and the vowels A and E. The check character follows the pure
system of ISO 7064 with modulus 23 and radix 2 (the standard's form, not one of its named
systems): it finds every single wrong character, every swap and every twin error.
"""

import unicodedata
from collections.abc import Iterable
from random import Random

from kb.errors import InvalidError, Problem

ALPHABET = "0123456789CFHJKMNPRTVWX"
DATA_LENGTH = 5
LENGTH = DATA_LENGTH + 1

_LOOK_ALIKES = {"0": "OQD", "1": "IL", "2": "Z", "5": "S", "6": "G", "8": "B", "V": "UY"}
_READ_AS = {
    form: character
    for character in ALPHABET
    for letter in character + _LOOK_ALIKES.get(character, "")
    for form in (letter, letter.lower())
}

# The spelling words of ICAO Annex 10 volume II; digits are said singly.
_WORDS = {
    "0": "Zero",
    "1": "One",
    "2": "Two",
    "3": "Three",
    "4": "Four",
    "5": "Five",
    "6": "Six",
    "7": "Seven",
    "8": "Eight",
    "9": "Nine",
    "C": "Charlie",
    "F": "Foxtrot",
    "H": "Hotel",
    "J": "Juliett",
    "K": "Kilo",
    "M": "Mike",
    "N": "November",
    "P": "Papa",
    "R": "Romeo",
    "T": "Tango",
    "V": "Victor",
    "W": "Whiskey",
    "X": "X-ray",
}


def make(source: Random) -> str:
    """Draw a code; whether it is taken already is the caller's question.

    Args:
        source: Where the chance comes from: `secrets.SystemRandom()`, or a seeded one.
    """
    data = "".join(source.choice(ALPHABET) for _ in range(DATA_LENGTH))
    return data + check_character(data)


def check_character(data: str) -> str:
    """Return the check character of five data characters, all of them from the alphabet."""
    values = [ALPHABET.index(character) for character in data]
    return ALPHABET[_check_value(values, modulus=len(ALPHABET))]


def read(typed: str) -> str:
    """Return the code that was typed, in its one normal form.

    Case, spaces and hyphens do not count; look-alikes that are in no code (O, I, S ...) are
    read as the character they resemble.

    Raises:
        InvalidError: Naming the character, the length or the check that is wrong.
    """
    characters = _without_spacing(typed)
    for character in characters:
        if character not in _READ_AS:
            raise _refused(
                f"{_named(character)} is in no code. Codes are written with the digits and the "
                f"letters {ALPHABET[10:]}. Read the label again."
            )
    if len(characters) != LENGTH:
        raise _refused(
            f"a code has {LENGTH} characters, this has {len(characters)}. Type it as it stands "
            "on the label."
        )
    code = "".join(_READ_AS[character] for character in characters)
    if check_character(code[:DATA_LENGTH]) != code[DATA_LENGTH]:
        raise _refused(
            f"'{shown(code)}' is no code, its last character does not agree with the others: at "
            "least one of the six is wrong. Read the label again."
        )
    return code


def looks_like_code(typed: str) -> bool:
    """Tell whether this has the form of a code, be its check character right or wrong.

    Names can have the form too ('HDMI-07'): look for the name as well before refusing.
    """
    characters = _without_spacing(typed)
    return len(characters) == LENGTH and all(character in _READ_AS for character in characters)


def shown(code: str) -> str:
    """Return the code as it's printed and shown: 'K7M 4XV'."""
    return f"{code[:3]} {code[3:]}"


def spoken(code: str) -> str:
    """Return the code as it's said aloud, with a pause after the third character."""
    first, second = (
        " ".join(_WORDS[character] for character in half) for half in (code[:3], code[3:])
    )
    return f"{first}, {second}"


def _check_value(values: Iterable[int], modulus: int) -> int:
    """Return the check value of a pure system with radix 2 (ISO 7064)."""
    total = 0
    for value in values:
        total = (total + value) * 2 % modulus
    return (1 - total) % modulus


def _without_spacing(typed: str) -> str:
    """Drop white space and every kind of dash."""
    return "".join(
        character
        for character in typed
        if not character.isspace() and unicodedata.category(character) != "Pd"
    )


def _named(character: str) -> str:
    """Return the character as a sentence can name it."""
    if character.isprintable() and not unicodedata.combining(character):
        return f"the character '{character}'"
    return f"the invisible character U+{ord(character):04X}"


def _refused(message: str) -> InvalidError:
    return InvalidError([Problem("code", message)])

"""Word tables of the analysis: stop words, negations, units, American spellings.

Small on purpose. The choice of words is common practice, no source; each table is applied to
index and query alike, so a wrong line costs a distinction and never a match.
"""


def _words(text: str) -> frozenset[str]:
    """Return the words of a text."""
    return frozenset(text.split())


# 'no', 'not', 'on', 'off', 'only', 'one', 'in', 'out', 'up' and 'down' tell faults apart and stay.
STOP = _words(
    """
    a an the this that these those there here
    i me my we us our ours you your yours he him his she her hers it its they them their
    am is are was were be been being do does did doing has have had having
    will would shall should can could may might must
    of to for with at by as from into than then so and or but if
    what which who whom whose how why just please very some any such
    """
)

# Small words that count, and so much in use that they are no parts of other words.
SMALL = _words(
    """
    no not on off only one two in out up down all over back away since still when while about
    through like says say get
    """
)

# Without an apostrophe, as dictation and haste write them; with one they are split by rule.
NEGATED = _words(
    """
    cannot cant wont dont doesnt didnt isnt arent wasnt werent hasnt havent hadnt couldnt
    shouldnt wouldnt aint
    """
)

# What follows an apostrophe and says nothing of its own.
CLITICS = frozenset({"s", "re", "ve", "ll", "d", "m"})

# Unit as written -> the short form that is glued to its number.
UNITS = {
    unit: short
    for short, units in {
        "k": "k khz kilohertz",
        "hz": "hz hertz",
        "mhz": "mhz megahertz",
        "ghz": "ghz gigahertz",
        "v": "v volt volts",
        "a": "amp amps ampere amperes",
        "ma": "ma",
        "mah": "mah",
        "w": "w watt watts",
        "wh": "wh",
        "s": "s sec secs second seconds",
        "ms": "ms millisecond milliseconds",
        "min": "min mins minute minutes",
        "h": "h hr hrs hour hours",
        "mm": "mm millimetre millimetres millimeter millimeters",
        "cm": "cm centimetre centimetres centimeter centimeters",
        "m": "m metre metres meter meters",
        "mb": "mb megabyte megabytes",
        "gb": "gb gig gigs gigabyte gigabytes",
        "tb": "tb terabyte terabytes",
        "mbps": "mbps mbit mbits megabit megabits",
        "gbps": "gbps gbit gbits gigabit",
        "db": "db decibel decibels",
        "dbu": "dbu",
        "dbfs": "dbfs",
        "fps": "fps",
        "bit": "bit bits",
        "pin": "pin pins",
        "inch": "inch inches",
        "percent": "percent",
    }.items()
    for unit in units.split()
}

# American beginning of a word -> British one; the ending stays.
BRITISH_BEGINNINGS = {
    "aluminum": "aluminium",
    "armor": "armour",
    "artifact": "artefact",
    "behavior": "behaviour",
    "color": "colour",
    "discolor": "discolour",
    "favor": "favour",
    "fiber": "fibre",
    "gray": "grey",
    "license": "licence",
    "neighbor": "neighbour",
    "practise": "practice",
    "rumor": "rumour",
    "vapor": "vapour",
}

# Whole words: one form of the two is used throughout.
BRITISH_WORDS = {
    "analog": "analogue",
    "catalog": "catalogue",
    "center": "centre",
    "centered": "centred",
    "centering": "centring",
    "centers": "centres",
    "dialog": "dialogue",
    "dialogs": "dialogues",
    "disc": "disk",
    "discs": "disks",
    "liter": "litre",
    "liters": "litres",
    "programme": "program",
    "programmes": "programs",
}

# Verbs that double their l before -ed and -ing in British spelling only.
SINGLE_L = ("cancel", "channel", "dial", "fuel", "label", "level", "model", "panel", "signal")

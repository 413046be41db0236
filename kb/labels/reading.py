"""Read the labels in a photo, for phones whose browser may not use the camera itself."""

import zxingcpp

from kb.faults import photos
from kb.gear import scanning


def codes_in(content: bytes) -> tuple[str, ...]:
    """Return the codes of the labels in a picture, each once.

    Args:
        content: The picture's file as it came.

    Raises:
        InvalidError: It's no picture that can be read, or too large.
    """
    picture = photos.small(content).convert("L")
    texts = (found.text for found in zxingcpp.read_barcodes(picture))
    return tuple(dict.fromkeys(filter(None, map(scanning.code_in, texts))))

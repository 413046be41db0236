"""What a camera makes of a printed symbol, and the two decoders that must still read it.

Levels of grey are 0 to 255. Lengths are pixels; where modules are named, the caller says how many
pixels one has.
"""

from typing import Any

import numpy as np
import zxingcpp
from numpy.typing import NDArray
from PIL import Image
from pyzbar import pyzbar
from scipy import ndimage

Grey = NDArray[Any]

_QR = zxingcpp.BarcodeFormats(zxingcpp.BarcodeFormat.QRCode)


def read_by_zxing(picture: Grey) -> set[str]:
    """Return what zxing-cpp reads."""
    return {found.text for found in zxingcpp.read_barcodes(_bytes(picture), _QR)}


def read_by_zbar(picture: Grey) -> set[str]:
    """Return what zbar reads."""
    wanted = [pyzbar.ZBarSymbol.QRCODE]
    found = pyzbar.decode(Image.fromarray(_bytes(picture)), symbols=wanted)
    return {one.data.decode() for one in found}


def read_by_both(picture: Grey, address: str) -> bool:
    """Tell whether both decoders read that address and no other."""
    return read_by_zxing(picture) == {address} == read_by_zbar(picture)


def blurred(picture: Grey, sigma: float) -> Grey:
    """Return the picture out of focus."""
    return np.asarray(ndimage.gaussian_filter(picture.astype(float), sigma))


def noisy(picture: Grey, sigma: float, seed: int) -> Grey:
    """Return the picture with noise."""
    chance = np.random.default_rng(seed)
    return np.asarray(picture + chance.normal(0, sigma, picture.shape))


def faint(picture: Grey, contrast: float, seed: int) -> Grey:
    """Return the picture with a share of its contrast around mid grey, and a little noise."""
    return noisy(127.5 + (picture.astype(float) - 127.5) * contrast, 3, seed)


def turned(picture: Grey, degrees: float) -> Grey:
    """Return the picture rotated, white where nothing was."""
    return np.asarray(ndimage.rotate(picture.astype(float), degrees, order=1, cval=255))


def patched(picture: Grey, margin: int, share: float) -> Grey:
    """Return the picture with a black square in the symbol's lower right corner.

    Args:
        picture: The symbol with its quiet zone.
        margin: The quiet zone.
        share: Of the symbol's area.
    """
    made = picture.copy()
    side = picture.shape[0] - 2 * margin
    patch = round(side * share**0.5)
    end = margin + side
    made[end - patch : end, end - patch : end] = 0
    return made


def rolled(picture: Grey, diameters: float) -> Grey:
    """Return the picture as seen straight on when it's stuck round an upright cylinder.

    Args:
        picture: The symbol with its quiet zone.
        diameters: The cylinder's diameter as a multiple of the picture's width.
    """
    width = picture.shape[1]
    radius = diameters * width / 2
    half = radius * np.sin(width / 2 / radius)
    seen = np.arange(-np.floor(half), np.floor(half) + 1)
    columns = radius * np.arcsin(seen / radius) + (width - 1) / 2
    rows = np.arange(picture.shape[0], dtype=float)
    where = np.meshgrid(rows, columns, indexing="ij")
    return np.asarray(ndimage.map_coordinates(picture.astype(float), where, order=1, cval=255))


def _bytes(picture: Grey) -> NDArray[np.uint8]:
    return np.ascontiguousarray(np.clip(picture, 0, 255).astype(np.uint8))

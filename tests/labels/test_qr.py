"""Symbols agree with the standard's example and with an independent encoder."""

import itertools
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any, get_args

import numpy as np
import pytest
import zxingcpp
from hypothesis import given, settings
from hypothesis import strategies as st
from qrcode.base import rs_blocks
from qrcode.util import MODE_8BIT_BYTE, MODE_ALPHA_NUM, MODE_NUMBER, BitBuffer, QRData

from kb.errors import InvalidError
from kb.labels import qr
from kb.labels.marks import Matrix
from kb.records.settings import Settings

Reference = Callable[[str], dict[str, Any]]
LEVELS: tuple[qr.Level, ...] = get_args(qr.Level)


def as_picture(matrix: Matrix) -> np.ndarray[Any, np.dtype[np.uint8]]:
    """Return the symbol with its quiet zone, three pixels a module."""
    light = np.pad(~np.array(matrix), qr.QUIET, constant_values=True)
    return np.kron(light, np.ones((3, 3))).astype(np.uint8) * 255


def encoded_elsewhere(text: str, level: str, version: int, mask: int) -> list[list[bool]]:
    """Return the symbol that zxing-cpp's writer makes."""
    barcode = zxingcpp.create_barcode(
        text, zxingcpp.BarcodeFormat.QRCode, ec_level=level, version=version, data_mask=mask
    )
    picture = zxingcpp.write_barcode_to_image(barcode, scale=1, add_quiet_zones=False)
    dark: list[list[bool]] = (np.array(picture) < 128).tolist()
    return dark


def test_symbol_is_the_one_of_the_standards_worked_example(reference: Reference) -> None:
    row = reference("QR-02")
    digits = [QRData(row["inputs"]["text"], mode=MODE_NUMBER)]  # type: ignore[no-untyped-call]
    matrix = qr._matrix(digits, row["inputs"]["version"], "M", row["inputs"]["mask"])
    assert ["".join("01"[dark] for dark in line) for line in matrix] == row["expected"]


def test_format_information_is_that_of_the_standards_table(reference: Reference) -> None:
    # Around the upper left finder, from the most significant bit on: ISO/IEC 18004 figure 25.
    spots = [(8, column) for column in (0, 1, 2, 3, 4, 5, 7, 8)]
    spots += [(line, 8) for line in (7, 5, 4, 3, 2, 1, 0)]
    segments = qr._segments("http://KB.LAN/K7M4XV")
    levels: tuple[qr.Level, ...] = ("L", "M")
    for level, mask in itertools.product(levels, range(8)):
        matrix = qr._matrix(segments, 2, level, mask)
        word = "".join("01"[matrix[line][column]] for line, column in spots)
        assert word == reference("QR-05")["expected"][level][mask]


def test_alphanumeric_set_is_that_of_the_standard(reference: Reference) -> None:
    assert reference("QR-11")["expected"] == qr.ALPHANUMERIC


def test_a_version_holds_as_many_characters_as_the_standard_says(reference: Reference) -> None:
    capacities = reference("QR-08")["expected"]
    for version, level in itertools.product(range(1, 7), LEVELS):
        digits, letters, signs = capacities[f"{version}-{level}"]
        for text, most in (("A", letters), ("a", signs)):
            assert qr._version(qr._segments(text * most), level, 1) == version
            assert qr._version(qr._segments(text * (most + 1)), level, 1) == version + 1
        numbers = [QRData("1" * digits, mode=MODE_NUMBER)]  # type: ignore[no-untyped-call]
        assert qr._version(numbers, level, 1) == version


def test_smallest_version_is_that_of_the_reference(reference: Reference) -> None:
    for length, versions in reference("QR-14")["expected"].items():
        for level in LEVELS:
            assert qr._version(qr._segments("A" * int(length)), level, 1) == versions[level]


def test_symbols_are_split_into_the_blocks_of_the_standard(reference: Reference) -> None:
    for name, blocks in reference("QR-10")["expected"].items():
        version, level = name.split("-")
        used = rs_blocks(int(version), qr._LEVELS[level])  # type: ignore[no-untyped-call]
        split = [(one.total_count, one.data_count) for one in used]
        assert split == [tuple(block) for count, *block in blocks for _ in range(count)]


def codewords(matrix: Matrix, mask: Callable[[int, int], bool]) -> bytes:
    """Read a version 1 symbol's codewords by the standard's walk (ISO/IEC 18004, 7.7.3)."""
    size = len(matrix)
    bits = []
    for step, right in enumerate([20, 18, 16, 14, 12, 10, 8, 5, 3, 1]):
        rows = range(size) if step % 2 else range(size - 1, -1, -1)
        for row, column in itertools.product(rows, (right, right - 1)):
            corner = (row < 9 and (column < 9 or column > 12)) or (row > 12 and column < 9)
            if not corner and row != 6:
                bits.append(matrix[row][column] ^ mask(row, column))
    text = "".join("01"[bit] for bit in bits)
    return bytes(int(text[start : start + 8], 2) for start in range(0, len(text), 8))


def test_codewords_are_those_of_the_standards_worked_example(reference: Reference) -> None:
    row = reference("QR-01")
    digits = [QRData(row["inputs"]["text"], mode=MODE_NUMBER)]  # type: ignore[no-untyped-call]
    matrix = qr._matrix(digits, row["inputs"]["version"], row["inputs"]["ec"], 2)
    # Mask 010 turns every third column over.
    read = codewords(matrix, lambda _row, column: column % 3 == 0)
    expected = row["expected"]
    assert read == bytes.fromhex(expected["data_hex"] + expected["ec_hex"])


@pytest.mark.parametrize("length", range(1, 15))
def test_data_that_ends_on_a_byte_is_padded_at_once(reference: Reference, length: int) -> None:
    # QR-17: the encoder that is no reference puts eight more zeros behind such data.
    assert reference("QR-17")["expected"]["decoded_text_equal"]
    text = ("kb.lan/" * 2)[:length].encode()
    segment = [QRData(text, mode=MODE_8BIT_BYTE)]  # type: ignore[no-untyped-call]
    matrix = qr._matrix(segment, 1, "M", 0)
    # Mask 000 turns every second module over.
    read = codewords(matrix, lambda row, column: (row + column) % 2 == 0)
    # ISO/IEC 18004, 7.4: mode 0100, eight bits of length, the bytes, 0000; then 11101100 and
    # 00010001 by turns to the 16 codewords of version 1 at level M.
    stream: tuple[int, ...] = (4 << 4 | length >> 4, (length & 15) << 4 | text[0] >> 4)
    stream += tuple((one & 15) << 4 | after >> 4 for one, after in itertools.pairwise(text))
    filled = bytes((*stream, (text[-1] & 15) << 4, *[0xEC, 0x11] * 7))[:16]
    assert read[:16] == filled


def test_upper_case_addresses_need_no_byte_segment(reference: Reference) -> None:
    row = reference("QR-12")
    for text, bits in zip(row["inputs"]["texts"], row["expected"]["bits"], strict=True):
        (segment,) = qr._segments(text)
        buffer = BitBuffer()  # type: ignore[no-untyped-call]
        segment.write(buffer)  # type: ignore[no-untyped-call]
        assert segment.mode == MODE_ALPHA_NUM
        assert 4 + 9 + len(buffer) == bits


def test_an_address_is_two_segments() -> None:
    segments = qr._segments("http://192.168.1.20:8080/K7M4XV")
    assert [(part.mode, part.data) for part in segments] == [
        (MODE_8BIT_BYTE, b"http"),
        (MODE_ALPHA_NUM, b"://192.168.1.20:8080/K7M4XV"),
    ]


@pytest.mark.parametrize("scheme", ["HTTP", "http"])
def test_symbols_equal_those_of_an_independent_encoder(scheme: str) -> None:
    compared = 0
    # No long run of digits, which the other encoder would pack as a segment of its own.
    ending = "K7M4XVC0F1H2J3K4M5N6P7R8"
    for length, level, mask in itertools.product(range(18, 41), LEVELS, range(8)):
        text = f"{scheme}://KB.LAN/T/" + ending[: length - 16]
        segments = qr._segments(text)
        version = qr._version(segments, level, 2)
        assert version is not None
        matrix = [list(line) for line in qr._matrix(segments, version, level, mask)]
        assert matrix == encoded_elsewhere(text, level, version, mask)
        compared += 1
    assert compared == 736  # QR-16 compares as many


@pytest.mark.parametrize(
    ("host", "size", "level"),
    [
        ("KB", 25, "H"),  # 16 characters: version 2 holds them at H, so H is free
        ("KB.LAN", 25, "Q"),
        ("192.168.1.20:8080", 29, "H"),  # 31 characters just fit version 3 at H
    ],
)
def test_level_is_raised_where_the_symbol_does_not_grow(host: str, size: int, level: str) -> None:
    matrix = qr.modules(qr.address(host, "K7M4XV"))
    (found,) = zxingcpp.read_barcodes(as_picture(matrix))
    assert len(matrix) == size
    assert found.ec_level == level


@settings(max_examples=40, deadline=None)
@given(st.text("abcXYZ019 $%*+-./:äπ?", min_size=1, max_size=60), st.sampled_from(LEVELS))
def test_any_text_is_read_back(text: str, level: qr.Level) -> None:
    (found,) = zxingcpp.read_barcodes(as_picture(qr.modules(text, level)))
    assert found.bytes == text.encode()


def test_text_longer_than_any_symbol_is_refused() -> None:
    with pytest.raises(InvalidError, match="too long for a QR symbol"):
        qr.modules("A" * 5000)


def test_printed_addresses_begin_with_a_scheme_that_every_phone_opens() -> None:
    path = Path(__file__).parents[1] / "reference" / "scanning.json"
    row = json.loads(path.read_text(encoding="utf-8"))["SCN-03"]
    assert qr.address(Settings().host, "K7M4XV").startswith(row["prefix"])


@pytest.mark.parametrize(
    ("host", "expected"),
    [
        ("kb.lan", "http://KB.LAN/K7M4XV"),
        ("Studio-1", "http://STUDIO-1/K7M4XV"),
        (" 192.168.1.20:8080 ", "http://192.168.1.20:8080/K7M4XV"),
        ("kb.lan:80", "http://KB.LAN/K7M4XV"),  # what browsers take without being told
    ],
)
def test_address_has_a_lower_case_scheme_and_the_rest_in_upper_case(
    host: str, expected: str
) -> None:
    assert qr.address(host, "k7m 4xv") == expected


@pytest.mark.parametrize(
    ("host", "said"),
    [
        ("", "can't stand on a label"),
        ("the studio", "without spaces"),
        ("kb lan:80", "without spaces"),
        ("http://kb.lan", "without http://"),
        ("kb.lan/x", "can't stand on a label"),
        ("kb_1", "can't stand on a label"),
        ("stra\u00dfe.lan", "can't stand on a label"),
        ("-kb.lan", "can't stand on a label"),
        ("kb..lan", "can't stand on a label"),
        ("a" * 64, "can't stand on a label"),
        ("fe80::1", "an IPv4 address"),
        ("kb.lan:", "with :PORT"),
        ("kb.lan:eight", "with :PORT"),
        ("kb.lan:0", "port 0 does not exist"),
        ("kb.lan:65536", "port 65536 does not exist"),
        ("192.168.1.300", "is no IPv4 address"),
        ("192.168.1", "is no IPv4 address"),
        ("0.0.0.0:8000", "no phone can open '0.0.0.0'"),
        ("224.0.0.1", "no phone can open"),
    ],
)
def test_host_that_no_phone_could_open_is_refused(host: str, said: str) -> None:
    with pytest.raises(InvalidError) as caught:
        qr.address(host, "K7M4XV")
    assert said in caught.value.message
    assert caught.value.problems[0].field == "host"


def test_smallest_symbol_has_an_alignment_pattern() -> None:
    # Version 1 would hold this; it has no alignment pattern and 21 modules.
    assert len(qr.modules("A")) == 25


@pytest.mark.parametrize(
    ("host", "said"),
    [
        ("127.0.0.1:8017", "127.0.0.1:8017 is this machine alone, no phone opens it."),
        ("localhost", "localhost is this machine alone"),
        ("Studio.local", "Some phones don't find names that end in .local"),
    ],
)
def test_host_that_some_phones_will_not_open_is_doubted(host: str, said: str) -> None:
    assert (qr.doubt(host) or "").startswith(said)
    assert "kitlore settings host=" in (qr.doubt(host) or "")


@pytest.mark.parametrize("host", ["192.168.1.20:8080", "kb.lan", "kb", "localhost.lan"])
def test_other_hosts_are_not_doubted(host: str) -> None:
    assert qr.doubt(host) is None

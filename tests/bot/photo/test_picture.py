"""What a file must be to be read as a photo, and what is said of every other."""

from __future__ import annotations

import io
import struct
import tracemalloc
import zlib

import numpy as np
import pytest
from PIL import Image, ImageOps

from bot.photo import picture
from bot.photo.picture import PictureError, open_picture
from bot.photo.reading import read_photo
from bot.photo.told import MOST_BYTES, PhotoProblem


def packed(image: Image.Image, kind: str = "PNG", **options: object) -> bytes:
    file = io.BytesIO()
    image.save(file, kind, **options)
    return file.getvalue()


def bomb(side: int, high: int) -> bytes:
    """Return a small PNG that says it is a huge square; so many of its rows are there."""

    def chunk(name: bytes, content: bytes) -> bytes:
        body = name + content
        return struct.pack(">I", len(content)) + body + struct.pack(">I", zlib.crc32(body))

    head = chunk(b"IHDR", struct.pack(">IIBBBBB", side, side, 8, 0, 0, 0, 0))
    rows = zlib.compressobj(9)
    row = bytes(side + 1)
    pressed = b"".join(rows.compress(row) for _ in range(high)) + rows.flush()
    return b"\x89PNG\r\n\x1a\n" + head + chunk(b"IDAT", pressed) + chunk(b"IEND", b"")


NOISE = Image.effect_noise((400, 300), 80)


@pytest.mark.parametrize(
    ("content", "problem"),
    [
        (b"", PhotoProblem.NO_PICTURE),
        (b"53..7....6..195....98....6.", PhotoProblem.NO_PICTURE),
        (b"%PDF-1.7 and so on", PhotoProblem.NO_PICTURE),
        (b"<svg xmlns='http://www.w3.org/2000/svg'/>", PhotoProblem.NO_PICTURE),
        (packed(NOISE, "GIF"), PhotoProblem.NO_PICTURE),
        (packed(NOISE, "BMP"), PhotoProblem.NO_PICTURE),
        (b"\0\0\0\x18ftypheic\0\0\0\0mif1heic" + bytes(2000), PhotoProblem.PHONES_OWN),
        (b"\0\0\0\x18ftypavif\0\0\0\0avifmif1" + bytes(2000), PhotoProblem.NO_PICTURE),
        (packed(NOISE, "JPEG")[:4000], PhotoProblem.BROKEN),
        (packed(NOISE)[:4000], PhotoProblem.BROKEN),
        (packed(NOISE)[:20], PhotoProblem.NO_PICTURE),
        (packed(Image.new("L", (100, 900))), PhotoProblem.TOO_SMALL),
        (packed(Image.new("1", (4100, 4100))), PhotoProblem.TOO_MANY_PIXELS),
        (packed(Image.new("L", (7100, 7100)), "JPEG"), PhotoProblem.TOO_MANY_PIXELS),
        (packed(Image.new("L", (20000, 130)), "JPEG"), PhotoProblem.TOO_SMALL),
        (b"\xff\xd8" + bytes(MOST_BYTES), PhotoProblem.TOO_MANY_BYTES),
    ],
    ids=[
        "empty", "text", "pdf", "svg", "gif", "bmp", "heic", "avif", "cut jpeg", "cut png",
        "a png's head", "narrow", "many pixels", "many pixels in a jpeg", "a strip", "many bytes",
    ],
)  # fmt: skip
def test_a_file_that_is_no_photo_is_told_what_it_is(content: bytes, problem: PhotoProblem) -> None:
    with pytest.raises(PictureError) as raised:
        open_picture(content)
    assert raised.value.problem is problem
    assert read_photo(content, {}).problem is problem


@pytest.mark.parametrize(("side", "high"), [(8_000, 8_000), (60_000, 100)])
def test_a_bomb_is_not_unpacked(side: int, high: int) -> None:
    content = bomb(side, high)
    assert len(content) < 2_000_000
    tracemalloc.start()
    with pytest.raises(PictureError) as raised:
        open_picture(content)
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert raised.value.problem is PhotoProblem.TOO_MANY_PIXELS
    assert peak < 5_000_000


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
def test_a_photo_that_its_file_says_lies_turned_is_set_upright(kind: str) -> None:
    lying = Image.new("L", (400, 300), 255)
    lying.paste(0, (0, 0, 400, 100))
    turned = Image.Exif()
    turned[0x0112] = 6  # EXIF's orientation: the first row is at the right
    turned[0x010E] = "Wren's kitchen"
    upright = open_picture(packed(lying, kind, exif=turned))
    assert upright.shape == (400, 300)
    assert upright[:, -50:].mean() < 40
    assert upright[:, :150].mean() > 215


@pytest.mark.parametrize("way", range(1, 9))
def test_each_way_that_a_photo_may_lie_is_set_upright_as_the_library_does(way: int) -> None:
    lying = Image.Exif()
    lying[0x0112] = way
    content = packed(NOISE, exif=lying)
    with Image.open(io.BytesIO(content)) as opened:
        assert np.array_equal(open_picture(content), np.asarray(ImageOps.exif_transpose(opened)))


def exif(*entries: tuple[int, int, int]) -> bytes:
    """Return EXIF of some entries, each a tag, the id of its type, and four bytes as a number."""
    packed_entries = [struct.pack(">HHII", tag, kind, 1, value) for tag, kind, value in entries]
    head = b"Exif\0\0MM\0*" + struct.pack(">IH", 8, len(entries))
    return head + b"".join(packed_entries) + bytes(4)


SHORT, RATIONAL = 3, 5  # ids of EXIF's types, by TIFF 6.0, section 2
LIES = (0x0112, SHORT, 6 << 16)


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP"])
@pytest.mark.parametrize(
    ("told", "shape"),
    [
        (exif(LIES), (400, 300)),
        (exif((0x010E, RATIONAL, 8), LIES), (400, 300)),
        (exif((0x0112, SHORT, 99 << 16)), (300, 400)),
        (exif((0x0112, RATIONAL, 8)), (300, 400)),
        (exif(LIES)[:9], (300, 400)),
        (b"Exif\0\0no such thing", (300, 400)),
    ],
    ids=["sound", "a name that is a number", "no way", "a number that is none", "cut", "nonsense"],
)
def test_nonsense_in_exif_is_no_reason_to_refuse_a_photo(
    kind: str, told: bytes, shape: tuple[int, int]
) -> None:
    assert open_picture(packed(NOISE, kind, exif=told)).shape == shape


@pytest.mark.parametrize("mode", ["L", "RGB", "RGBA", "P", "1", "LA"])
def test_pictures_of_every_colour_come_out_grey(mode: str) -> None:
    drawn = Image.new("RGB", (300, 300), (255, 250, 240))
    drawn.paste((0, 0, 60), (0, 0, 100, 300))
    grey = open_picture(packed(drawn.convert(mode)))
    assert grey.dtype == np.uint8
    assert grey[:, :90].mean() < 30
    assert grey[:, 110:].mean() > 230


def test_a_scan_with_sixteen_bits_a_pixel_is_as_dark_as_one_with_eight() -> None:
    eight = np.asarray(NOISE, np.uint16)
    scan = packed(Image.fromarray(eight * 256 + 255 - eight))
    assert np.array_equal(open_picture(scan), np.asarray(NOISE))


def test_what_is_clear_is_white_paper() -> None:
    clear = Image.new("RGBA", (300, 300), (0, 0, 0, 0))
    assert open_picture(packed(clear)).min() == 255


def test_a_large_photo_is_made_smaller() -> None:
    large = open_picture(packed(Image.new("L", (6000, 4000), 90), "JPEG"))
    assert max(large.shape) == picture.LONGEST_SIDE

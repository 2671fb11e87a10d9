"""Photos as a phone makes them: on their side, and with the place in every kind of note."""

from __future__ import annotations

import random
from collections.abc import Callable
from io import BytesIO

from PIL import Image, PngImagePlugin

ON_ITS_SIDE = 6
"""Orientation: the camera was turned a quarter (Exif, tag 0x0112)."""
TAKEN = "2031:05:04 12:30:00"
PLACE = b"53.5511N 9.9937E"
"""An invented text that stands in every kind of note, to be looked for."""
XMP = b"<x:xmpmeta exif:GPSLatitude='53,33.066N' note='" + PLACE + b"'/>"


def _picture() -> Image.Image:
    return Image.frombytes("RGB", (60, 40), random.Random(5).randbytes(60 * 40 * 3))


def notes() -> Image.Exif:
    """What a phone writes: orientation, time, maker's notes, and where it was."""
    exif = Image.Exif()
    exif[0x0112] = ON_ITS_SIDE
    exif[0x010E] = PLACE.decode()  # description
    exif[0x0132] = TAKEN
    more = exif.get_ifd(0x8769)
    more[0x9003] = TAKEN
    more[0xA001] = 1
    more[0x927C] = PLACE  # maker's notes
    more[0x9286] = b"ASCII\0\0\0" + PLACE  # remark
    gps = exif.get_ifd(0x8825)
    gps[1], gps[2], gps[3], gps[4] = "N", (53.0, 33.0, 4.0), "E", (9.0, 59.0, 37.0)
    gps[27] = PLACE
    return exif


def jpeg(**more: object) -> bytes:
    file = BytesIO()
    _picture().save(
        file, "JPEG", exif=notes(), xmp=XMP, comment=PLACE, icc_profile=b"colours " * 9, **more
    )
    return file.getvalue()


def two_in_one() -> bytes:
    """A picture with a second one behind it, and a film behind that."""
    file = BytesIO()
    first = _picture()
    first.save(file, "MPO", save_all=True, append_images=[first], exif=notes())
    return file.getvalue() + b"ftypmp42" + PLACE


def png() -> bytes:
    file, texts = BytesIO(), PngImagePlugin.PngInfo()
    texts.add_text("Location", PLACE.decode())
    texts.add_text("Location", PLACE.decode(), zip=True)
    texts.add_itxt("XML:com.adobe.xmp", XMP.decode())
    _picture().save(file, "PNG", exif=notes(), pnginfo=texts, icc_profile=b"colours " * 9)
    return file.getvalue() + PLACE


def webp() -> bytes:
    file = BytesIO()
    _picture().save(file, "WEBP", exif=notes(), xmp=XMP, icc_profile=b"colours " * 9, quality=80)
    return file.getvalue() + PLACE


PHOTOS: dict[str, Callable[[], bytes]] = {
    "jpeg": jpeg, "in scans": lambda: jpeg(progressive=True), "two in one": two_in_one,
    "png": png, "webp": webp,
}  # fmt: skip

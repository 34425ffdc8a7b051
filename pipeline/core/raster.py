"""Pictures of strangers, PNG and JPEG: looked at in limits, decoded whole, made fit to print.

What goes into a PDF is what every reader of PDF shows alike (ISO 32000-1, 7.4.4 and 7.4.8): a JPEG
of 8 bits in grey or sRGB goes in as it was, without its metadata; a PNG of 8 bits likewise; any
other is turned as its Exif tells, brought to sRGB and written anew.
"""

from __future__ import annotations

import io
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from hashlib import sha256
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from PIL.Image import Image

from typing import TYPE_CHECKING

from .jpeg import FrameHeader, NotSound, without_metadata

if TYPE_CHECKING:
    from PIL.Image import Image
    from PIL.ImageCms import ImageCmsProfile


LARGEST = 8_000_000  # bytes
_AS_SRGB = 3  # of 255: a profile whose colours differ by no more is sRGB for what print can show
_MODES = {"RGB": "RGB", "GRAY": "L", "CMYK": "CMYK"}  # by colour space
_STEPS = 6


@dataclass(frozen=True)
class Profile:
    """A profile as it stands in a picture; `opened` is None where it cannot be used with it.

    mode: of pictures whose colours it explains.
    """

    opened: ImageCmsProfile | None
    mode: str

    @classmethod
    def of(cls, picture: Image) -> Profile | None:
        """Return the profile of a picture, None where it has none."""
        data = picture.info.get("icc_profile")
        if not data:
            return None
        if len(data) > LARGEST:
            return cls(None, "")
        from PIL import ImageCms  # noqa: PLC0415 - few pictures have one

        try:
            opened = ImageCms.ImageCmsProfile(io.BytesIO(data))
            mode = _MODES.get(opened.profile.xcolor_space.strip(), "")
        except (OSError, ValueError, TypeError, ImageCms.PyCMSError):
            return cls(None, "")
        fits = mode == "CMYK" if picture.mode == "CMYK" else mode in {"RGB", "L"}
        # A picture in grey may be explained by a profile of three lights, not the other way.
        if mode == "L" and picture.mode not in {"1", "L", "LA", "I", "I;16", "I;16B"}:
            fits = False
        made = cls(opened, mode) if fits else cls(None, mode)
        return made if made.opened is None or made._samples() is not None else cls(None, mode)

    @property
    def is_sound(self) -> bool:
        """Whether colours can be read by it."""
        return self.opened is not None

    @property
    def is_srgb(self) -> bool:
        """Whether colours may be taken as they are: it is unusable, or that of sRGB."""
        if self.opened is None:
            return True
        samples = self._samples()
        if samples is None or self.mode == "CMYK":
            return False
        before, after = samples
        pairs = zip(before.convert("RGB").tobytes(), after.tobytes(), strict=True)
        return all(abs(one - other) <= _AS_SRGB for one, other in pairs)

    def _samples(self) -> tuple[Image, Image] | None:
        """Return colours throughout the space, and the same in sRGB; None where it fails."""
        from PIL import Image, ImageCms  # noqa: PLC0415

        levels = [round(255 * step / (_STEPS - 1)) for step in range(_STEPS)]
        rgb = bytes(each for r in levels for g in levels for b in levels for each in (r, g, b))
        before = Image.frombytes("RGB", (_STEPS**3, 1), rgb).convert(self.mode)
        try:
            return before, self._changed(before)
        except (OSError, ValueError, TypeError, ImageCms.PyCMSError):
            return None

    def _changed(self, picture: Image) -> Image:
        from PIL import ImageCms  # noqa: PLC0415

        assert self.opened is not None
        srgb = ImageCms.createProfile("sRGB")
        made = ImageCms.profileToProfile(picture, self.opened, srgb, outputMode="RGB")
        assert made is not None  # it is not changed in its place
        return made

    def to_srgb(self, picture: Image) -> Image:
        """Return a picture in mode L, LA, RGB, RGBA or CMYK with its colours in sRGB."""
        alpha = picture.getchannel("A") if picture.mode in {"LA", "RGBA"} else None
        grey = picture.mode in {"L", "LA"}
        same = picture.mode == self.mode
        made = self._changed(picture if same else picture.convert(self.mode))
        if grey:
            made = made.convert("L")
        if alpha is not None:
            made.putalpha(alpha)
        return made


PNG = b"\x89PNG\r\n\x1a\n"
JPEG = b"\xff\xd8\xff"
LARGEST_SIDE = 12_000  # pixels
MOST_PIXELS = 60_000_000
PRINTED_SIDE = 5_000  # pixels of a picture written anew: 300 to the inch along the largest paper
QUALITY = 92  # of a JPEG written anew
_KEPT = 1_000  # pictures known to be sound
_ORIENTATION = 0x0112  # Exif 2.32, 4.6.4; 1 is upright


class Damaged(ValueError):
    """A picture that cannot be decoded whole; str() says why."""


@dataclass(frozen=True)
class Raster:
    """A picture fit for a PDF: width and height in pixels as it is shown, bytes and media type.

    strange_profile: whether it holds a colour profile that cannot be read; it is taken for sRGB.
    """

    width: int
    height: int
    data: bytes
    media: str
    strange_profile: bool = False


def picture_size(data: bytes) -> tuple[int, int] | None:
    """Return width and height in pixels of a PNG or JPEG, None for anything else.

    Only the header is looked at.
    """
    if data.startswith(PNG):
        return _png_size(data)
    if not data.startswith(JPEG):
        return None
    try:
        frame = FrameHeader.of(data)
    except NotSound:
        return None
    return frame.width, frame.height


def seen_size(data: bytes) -> tuple[int, int] | None:
    """Return width and height of a picture as it is looked at, turned as its Exif tells.

    None for what is no PNG or JPEG. Only headers are looked at.

    Raises:
        Damaged: when they cannot be read.
    """
    size = picture_size(data)
    if size is None:
        return None
    with _opened(data) as picture:
        on_its_side = picture.getexif().get(_ORIENTATION, 1) in range(5, 9)
    return size[::-1] if on_its_side else size


def _png_size(data: bytes) -> tuple[int, int] | None:
    # The header chunk comes first and begins with width and height (ISO 15948, 11.2.2).
    if len(data) < 33 or data[12:16] != b"IHDR":
        return None
    size = int.from_bytes(data[16:20], "big"), int.from_bytes(data[20:24], "big")
    return size if min(size) > 0 else None


@dataclass(frozen=True)
class _Sound:
    """What is known of a picture that was decoded whole. plain: it can be printed as it is."""

    plain: bool
    strange_profile: bool
    width: int
    height: int


_SOUND: dict[bytes, _Sound] = {}  # by digest, so that nothing is decoded twice


def look_at(data: bytes) -> bool:
    """Decode a picture whole whose size is within the limits; tell whether its profile is sound.

    Raises:
        Damaged: when it cannot be.
    """
    return not _sound(data).strange_profile


def printable(data: bytes) -> Raster:
    """Return a picture as it goes into a PDF; it is decoded first unless it was before.

    Raises:
        Damaged: when it cannot be decoded whole.
    """
    known = _sound(data)
    if not known.plain:
        with _opened(data) as picture:
            return _anew(picture, known.strange_profile)
    media = "image/png" if data.startswith(PNG) else "image/jpeg"
    lean = data if media == "image/png" else without_metadata(data)
    return Raster(known.width, known.height, lean, media, known.strange_profile)


def _sound(data: bytes) -> _Sound:
    name = sha256(data).digest()
    known = _SOUND.get(name)
    if known is None:
        known = _decoded(data)
        while len(_SOUND) >= _KEPT:
            del _SOUND[next(iter(_SOUND))]
        _SOUND[name] = known
    return known


def _decoded(data: bytes) -> _Sound:
    with _loaded(data) as picture:
        profile = Profile.of(picture)
        upright = picture.info.get("exif") is None or picture.getexif().get(_ORIENTATION, 1) == 1
        plain = upright and _is_plain(picture, data) and (profile is None or profile.is_srgb)
        return _Sound(plain, profile is not None and not profile.is_sound, *picture.size)


def as_seen(data: bytes) -> tuple[Image, bool]:
    """Return a picture at its full size as it is looked at, in mode RGB, its colours in sRGB.

    Nothing else of the file comes along. Also returned: whether it holds a colour profile that
    cannot be read; it is taken for sRGB.

    Raises:
        Damaged: when it is no PNG or JPEG within the limits, or cannot be decoded whole.
    """
    size = picture_size(data)
    if size is None:
        raise Damaged("its size cannot be read")
    if max(size) > LARGEST_SIDE or size[0] * size[1] > MOST_PIXELS:
        raise Damaged(f"it has {size[0]:,} x {size[1]:,} pixels, which are too many")
    from PIL import ImageOps  # noqa: PLC0415

    with _loaded(data) as picture:
        profile = Profile.of(picture)
        made = _of_eight_bits(picture)
        ImageOps.exif_transpose(made, in_place=True)
        if profile is not None and profile.is_sound and not profile.is_srgb:
            made = profile.to_srgb(made)
        made = made.convert("RGB")
        made.info.clear()
        return made, profile is not None and not profile.is_sound


@contextmanager
def _loaded(data: bytes) -> Iterator[Image]:
    """Give a picture of which everything was decoded."""
    try:
        if data.startswith(PNG):
            with _opened(data) as picture:
                picture.verify()  # the checksum of every chunk; it reads no pixels
        else:
            without_metadata(data)  # whether all of its segments are whole
        with _opened(data) as picture:
            if picture.size != picture_size(data):
                raise Damaged("it states two sizes")
            picture.load()
            yield picture
    except NotSound as reason:
        raise Damaged(str(reason)) from reason
    except (Damaged, MemoryError):
        raise
    except Exception as reason:  # decoders raise whatever they come upon
        raise Damaged("it cannot be decoded") from reason


@contextmanager
def _opened(data: bytes) -> Iterator[Image]:
    from PIL import Image  # noqa: PLC0415 - not every chart has a picture

    with warnings.catch_warnings(), whole_pictures():
        warnings.simplefilter("ignore")  # what can be decoded is good enough, and limits are ours
        with Image.open(io.BytesIO(data), formats=("PNG", "JPEG")) as picture:
            yield picture


@contextmanager
def whole_pictures() -> Iterator[None]:
    """Refuse pictures that are cut off, even where another library lets Pillow fill them up."""
    from PIL import ImageFile  # noqa: PLC0415

    was = ImageFile.LOAD_TRUNCATED_IMAGES
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    try:
        yield
    finally:
        ImageFile.LOAD_TRUNCATED_IMAGES = was


def _is_plain(picture: Image, data: bytes) -> bool:
    """Whether every reader of PDF shows the picture alike as it is, but for turning and profile."""
    if data.startswith(PNG):
        return (
            picture.mode in {"L", "RGB", "LA", "RGBA"}
            and "transparency" not in picture.info
            and "exif" not in picture.info
        )
    frame = FrameHeader.of(data)
    # Sequential and progressive with Huffman codes. Three components are YCbCr unless they are
    # said to be others; lossless and arithmetic coding, and other inks, are not for every reader.
    return (
        frame.kind in {0xC0, 0xC1, 0xC2}
        and frame.precision == 8
        and len(frame.components) in {1, 3}
        and frame.components != b"RGB"
        and frame.adobe != 0
    )


def _anew(picture: Image, strange_profile: bool) -> Raster:
    from PIL import ImageOps  # noqa: PLC0415

    profile = Profile.of(picture)
    made = _of_eight_bits(picture)
    made.thumbnail((PRINTED_SIDE, PRINTED_SIDE))  # first: what follows takes room
    ImageOps.exif_transpose(made, in_place=True)
    if profile is not None and profile.is_sound:
        made = profile.to_srgb(made)
    elif made.mode == "CMYK":
        made = made.convert("RGB")
    out = io.BytesIO()
    kind = "PNG" if picture.format == "PNG" else "JPEG"
    made.info.clear()
    made.save(out, kind, **({"compress_level": 1} if kind == "PNG" else {"quality": QUALITY}))
    return Raster(made.width, made.height, out.getvalue(), f"image/{kind.lower()}", strange_profile)


def _of_eight_bits(picture: Image) -> Image:
    """Return a picture in mode L, LA, RGB, RGBA or CMYK."""
    clear = picture.info.get("transparency")
    if picture.mode.startswith("I"):
        return _grey_of_sixteen(picture, clear)
    if clear is not None:
        try:
            return picture.convert("RGBA")
        except (ValueError, TypeError):  # a colour of 16 bits, which is none of those of 8
            del picture.info["transparency"]
    if picture.mode in {"L", "LA", "RGB", "RGBA", "CMYK"}:
        return picture
    has_alpha = picture.mode in {"PA", "La", "RGBa"}
    return picture.convert("RGBA" if has_alpha else "L" if picture.mode == "1" else "RGB")


def _grey_of_sixteen(picture: Image, clear: object) -> Image:
    """Return grey of 16 bits in 8 (Pillow would cut off what is lighter than 255)."""
    import numpy as np  # noqa: PLC0415
    from PIL import Image  # noqa: PLC0415

    levels = np.asarray(picture).astype(np.uint16, copy=False)
    grey = Image.fromarray((levels >> 8).astype(np.uint8))
    if isinstance(clear, int):
        grey.putalpha(Image.fromarray(np.where(levels == clear, 0, 255).astype(np.uint8)))
    grey.info.update({key: picture.info[key] for key in ("exif",) if key in picture.info})
    return grey

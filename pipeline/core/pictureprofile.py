"""The colour profile in a picture (ICC.1): whether it can be read, and from its colours to sRGB."""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import TYPE_CHECKING

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

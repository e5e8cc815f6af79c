"""Pictures for which a decoder must be installed: HEIC of phones, RAW of cameras."""

from __future__ import annotations

import io
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from livery.capture.picture_header import refuse

if TYPE_CHECKING:
    from livery.capture.photograph import Codes

# Endings of cameras' RAW files, whose first bytes are often a TIFF's. [source: common-practice]
_RAW_SUFFIXES = frozenset(
    (".dng", ".nef", ".nrw", ".cr2", ".cr3", ".arw", ".raf", ".rw2", ".orf", ".pef", ".srw", ".x3f")
)
# Brands that a HEIC file names in its first box. [source: heif]
_HEIC_BRANDS = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1")
_HDR_TRANSFERS = (16, 18)  # PQ and HLG among coded transfer characteristics [source: itu-t-h273]
# Power and slope of the curve that codes are given in. [source: iec-61966-2-1]
_SRGB_CURVE = (2.4, 12.92)
_COPY = "Copy it again, or export a JPEG."


def optional_kind(path: Path, data: bytes) -> str:
    """``HEIC`` or ``RAW``, by a file's first bytes or its ending; "" for anything else."""
    if data[4:8] == b"ftyp" and data[8:12] in _HEIC_BRANDS:
        return "HEIC"
    return "RAW" if path.suffix.lower() in _RAW_SUFFIXES else ""


@dataclass(frozen=True, slots=True, eq=False)
class OptionalPicture:
    """A picture whose size is known and whose pixels are decoded on demand.

    Attributes:
        name: the file's, for messages.
        kind: ``HEIC`` or ``RAW``.
        width, height: px.
        source: the decoder's own object.
    """

    name: str
    kind: str
    width: int
    height: int
    source: Any

    def decode(self) -> tuple[Codes, bytes | None]:
        """Codes, upright, R, G, B, shape (height, width, 3), and the embedded profile, or None.

        Raises:
            PhotographError: the pixels are damaged.
        """
        try:
            return _heic_codes(self.source) if self.kind == "HEIC" else _raw_codes(self.source)
        except Exception as error:  # decoders raise kinds of their own for damaged files
            raise refuse(self.name, f"the {self.kind} picture is damaged", _COPY) from error


def open_optional(name: str, kind: str, data: bytes) -> OptionalPicture:
    """Read what a HEIC or RAW file says of itself.

    Args:
        name: the file's, for messages.
        kind: as ``optional_kind`` tells.
        data: all its bytes.

    Raises:
        PhotographError: no decoder is installed, the file is damaged, or its colours are none
            that a photograph's should be.
    """
    return _open_heic(name, data) if kind == "HEIC" else _open_raw(name, data)


def _open_heic(name: str, data: bytes) -> OptionalPicture:
    try:
        import pi_heif  # type: ignore[import-not-found,import-untyped,unused-ignore]  # optional
    except ImportError as error:
        mend = "Install livery[heic], or set the camera to JPEG ('most compatible')."
        raise refuse(name, "it is HEIC, for which no decoder is installed", mend) from error
    try:
        picture = pi_heif.open_heif(data, convert_hdr_to_8bit=False)
        width, height = picture.size
    except Exception as error:  # libheif raises kinds of its own
        raise refuse(name, "the HEIC file is damaged", _COPY) from error
    mend = "Export it again as a plain RGB photograph."
    if picture.has_alpha or not picture.mode.startswith("RGB"):
        raise refuse(name, f"the HEIC picture is {picture.mode}, not a camera's RGB", mend)
    coded = picture.info.get("nclx_profile") or {}
    if coded.get("transfer_characteristics") in _HDR_TRANSFERS:
        raise refuse(name, "the HEIC picture is HDR, whose colours are toned", mend)
    return OptionalPicture(name, "HEIC", width, height, picture)


def _heic_codes(picture: Any) -> tuple[Codes, bytes | None]:
    codes = np.asarray(picture)
    return np.ascontiguousarray(codes[..., :3]), picture.info.get("icc_profile") or None


def _open_raw(name: str, data: bytes) -> OptionalPicture:
    try:
        import rawpy  # type: ignore[import-not-found,import-untyped,unused-ignore]  # optional
    except ImportError as error:
        mend = "Install livery[raw], or have the camera write a JPEG beside it."
        raise refuse(name, "it is RAW, for which no decoder is installed", mend) from error
    try:
        raw = rawpy.imread(io.BytesIO(data))
        sizes = raw.sizes
    except Exception as error:  # LibRaw raises kinds of its own
        raise refuse(name, "the RAW file is damaged, or of a camera not known", _COPY) from error
    return OptionalPicture(name, "RAW", int(sizes.width), int(sizes.height), raw)


def _raw_codes(raw: Any) -> tuple[Codes, None]:
    """Codes in the camera's own primaries, which the target then characterises; no profile."""
    import rawpy

    with raw:
        codes = raw.postprocess(
            output_color=rawpy.ColorSpace.raw,
            output_bps=16,
            gamma=_SRGB_CURVE,
            no_auto_bright=True,
            use_camera_wb=True,
        )
    return np.ascontiguousarray(codes), None

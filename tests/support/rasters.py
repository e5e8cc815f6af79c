"""Pictures of what we write, and how near two pictures are."""

from __future__ import annotations

import io
import math
import re
import subprocess
from functools import lru_cache, reduce
from pathlib import Path

import numpy as np
import pikepdf
from numpy.typing import NDArray
from PIL import Image

from livery.colour import decode_srgb, xyz_to_lab, xyz_to_srgb_linear

Grey = NDArray[np.uint8]


def split_plates(
    pdf: bytes, folder: Path, dpi: int = 300, page: int = 1, *, by_centre: bool = False
) -> dict[str, Grey]:
    """Each separation of a page as Ghostscript prints it: 0 solid, 255 bare.

    With ``by_centre`` a pixel is inside a fill when its centre is, as in ``plan``; otherwise by
    Ghostscript's own rule, any part of it. It takes curves for straight within 0.2 pixels and no
    less, whatever it is told; ``cut_curves`` leaves it next to nothing to straighten.
    """
    folder.mkdir(parents=True, exist_ok=True)
    source = folder / "plates.pdf"
    source.write_bytes(pdf)
    command = ["gs", "-q", "-dSAFER", "-dBATCH", "-dNOPAUSE", "-sDEVICE=tiffsep", f"-r{dpi}"]
    command += [f"-dFirstPage={page}", f"-dLastPage={page}", "-sCompression=pack"]
    command += [f"-sOutputFile={folder}/p%d.tif"]
    command += ["-c", "0 0 .setfilladjust2 0.2 setflat"] if by_centre else []
    subprocess.run([*command, "-f", str(source)], check=True)
    plates = {}
    for path in sorted(folder.glob("p1(*).tif")):
        name = re.fullmatch(r"p1\((.*)\)\.tif", path.name)
        assert name is not None
        with Image.open(path) as image:
            assert image.mode == "L"
            plates[name[1]] = np.asarray(image)
    return plates


def cut_curves(pdf: bytes, tolerance_mm: float = 0.001) -> bytes:
    """A PDF of ours with each curve cut into curves that are straight within a tolerance.

    The curves are the same; only their pieces are more, so that how a renderer straightens curves
    is left out of a comparison.
    """
    stream = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        for page in document.pages:
            page.contents_coalesce()
            page.obj.Contents.write(_cut(page.obj.Contents.read_bytes(), tolerance_mm))
        for item in document.objects:
            if isinstance(item, pikepdf.Stream) and item.get("/Subtype") == "/Form":
                item.write(_cut(item.read_bytes(), tolerance_mm))
        document.save(stream, compress_streams=False)
    return stream.getvalue()


@lru_cache(maxsize=256)
def _cut(content: bytes, tolerance_mm: float) -> bytes:
    lines, at = [], np.zeros((1, 2))
    for line in content.split(b"\n"):
        if not line.endswith((b" m", b" l", b" c")):
            lines.append(line)
            continue
        points = np.array(line.split()[:-1], dtype=np.float64).reshape(-1, 2)
        if line.endswith(b" c"):
            control = np.concatenate((at, points))
            bend = float(np.hypot(*np.abs(np.diff(control, 2, axis=0)).max(axis=0)))
            pieces = max(1, math.ceil(math.sqrt(0.75 * bend / tolerance_mm)))
            lines += [b"%f %f %f %f %f %f c" % piece for piece in _pieces(control, pieces)]
        else:
            lines.append(line)
        at = points[-1:]
    return b"\n".join(lines)


def _pieces(control: NDArray[np.float64], count: int) -> list[tuple[float, ...]]:
    """The last three control points of each of ``count`` even pieces of a cubic."""
    powers = np.array([[1, 0, 0, 0], [-3, 3, 0, 0], [3, -6, 3, 0], [-1, 3, -3, 1]]) @ control
    t = np.arange(count + 1)[:, None] / count
    point = powers[0] + t * (powers[1] + t * (powers[2] + t * powers[3]))
    slope = (powers[1] + t * (2 * powers[2] + 3 * t * powers[3])) / (3 * count)
    rows = np.hstack((point[:-1] + slope[:-1], point[1:] - slope[1:], point[1:]))
    return [tuple(row) for row in rows.tolist()]


def render_with_ghostscript(
    pdf: bytes, folder: Path, dpi: float, page: int = 1, *, overprint: bool = True
) -> Grey:
    """A page as RGB (h, w, 3), overprint simulated or ignored.

    A pixel is filled by as much of it as is covered, not, as is Ghostscript's wont, wholly where
    any part is. The page is taken out first: told to choose one itself, Ghostscript leaves it
    white where overprint is to be simulated.
    """
    folder.mkdir(parents=True, exist_ok=True)
    source, target = folder / "page.pdf", folder / "page.png"
    source.write_bytes(_one_page(pdf, page))
    command = ["gs", "-q", "-dSAFER", "-dBATCH", "-dNOPAUSE", "-sDEVICE=png16m", f"-r{dpi}"]
    command += ["-dTextAlphaBits=4", "-dGraphicsAlphaBits=4", "-dGridFitTT=0"]
    command += [f"-dOverprint=/{'simulate' if overprint else 'disable'}"]
    command += [f"-sOutputFile={target}", "-c", "0 0 .setfilladjust2", "-f", str(source)]
    subprocess.run(command, check=True)
    with Image.open(target) as image:
        return np.asarray(image.convert("RGB"))


def _one_page(pdf: bytes, page: int) -> bytes:
    stream = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf)) as document:
        del document.pages[page:], document.pages[: page - 1]
        document.save(stream)
    return stream.getvalue()


def render_with_mupdf(pdf: bytes, dpi: float, page: int = 0) -> Grey:
    """A page as RGB (h, w, 3), overprint ignored."""
    import pymupdf

    with pymupdf.open("pdf", pdf) as document:
        matrix = pymupdf.Matrix(dpi / 72.0, dpi / 72.0)
        pixels = document[page].get_pixmap(matrix=matrix)
        return np.frombuffer(pixels.samples, np.uint8).reshape(pixels.height, pixels.width, 3)


def render_with_librsvg(svg: str, folder: Path, width: int, height: int) -> Grey:
    """An SVG as RGB (h, w, 3) on white."""
    folder.mkdir(parents=True, exist_ok=True)
    source, target = folder / "page.svg", folder / "svg.png"
    source.write_text(svg, "utf-8")
    command = ["rsvg-convert", "-w", str(width), "-h", str(height), "-b", "white"]
    subprocess.run([*command, str(source), "-o", str(target)], check=True)
    with Image.open(target) as image:
        return np.asarray(image.convert("RGB"))


def render_with_chromium(chromium: str, svg: str, folder: Path, width: int, height: int) -> Grey:
    """An SVG as RGB (h, w, 3) on white, as a browser shows it."""
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "page.svg").write_text(svg, "utf-8")
    style = f"width:{width}px;height:{height}px;display:block"
    page = f'<body style="margin:0"><img src="page.svg" style="{style}">'
    (folder / "page.html").write_text(page, "utf-8")
    target = folder / "browser.png"
    command = [chromium, "--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars"]
    command += [f"--window-size={width},{height + 200}", f"--screenshot={target}"]
    command += [f"--user-data-dir={folder / 'profile'}", (folder / "page.html").as_uri()]
    subprocess.run(command, check=True, capture_output=True, timeout=120)
    with Image.open(target) as image:
        return np.asarray(image.convert("RGB"))[:height, :width]


def png_pixels(png: bytes) -> Grey:
    """A PNG as RGB (h, w, 3)."""
    with Image.open(io.BytesIO(png)) as image:
        return np.asarray(image.convert("RGB"))


def beyond_rim(one: Grey, other: Grey, tolerance: int, rim_px: int = 1) -> NDArray[np.bool_]:
    """Pixels that differ by more than ``tolerance`` from every value within ``rim_px`` of them.

    A pixel of either picture is compared with the other's neighbourhood of ``rim_px``: it must
    lie between the lowest and the highest value there, unless an edge runs through that
    neighbourhood. So an edge may lie a pixel off or be smoothed otherwise, and no more.
    """
    height, width = min(one.shape[0], other.shape[0]), min(one.shape[1], other.shape[1])
    one, other = one[:height, :width], other[:height, :width]
    return _outside(one, other, tolerance, rim_px) | _outside(other, one, tolerance, rim_px)


def _outside(one: Grey, other: Grey, tolerance: int, rim_px: int) -> NDArray[np.bool_]:
    low, high = (_spread(other, pick, rim_px) for pick in (np.minimum, np.maximum))
    lower = np.maximum(low, tolerance) - np.uint8(tolerance)
    upper = np.minimum(high, 255 - tolerance) + np.uint8(tolerance)
    strange = np.any((one < lower) | (one > upper), axis=2)
    flat = np.all(high - low <= tolerance // 3, axis=2)
    found: NDArray[np.bool_] = strange & flat
    return found


def _spread(picture: Grey, pick: np.ufunc, rim_px: int) -> Grey:
    """The lowest or highest value within ``rim_px`` of each pixel, up, down and across."""
    height, width = picture.shape[:2]
    padded = np.pad(picture, ((rim_px, rim_px), (rim_px, rim_px), (0, 0)), mode="edge")
    steps = range(2 * rim_px + 1)
    rows = reduce(pick, [padded[step : step + height] for step in steps])
    spread: Grey = reduce(pick, [rows[:, step : step + width] for step in steps])
    return spread


def overlap(one: NDArray[np.bool_], other: NDArray[np.bool_]) -> float:
    """Intersection over union of two masks; 1 when both are empty."""
    shared = np.count_nonzero(one & other)
    union = np.count_nonzero(one) + np.count_nonzero(other) - shared
    return 1.0 if union == 0 else float(shared / union)


def lab_of_linear(linear: np.ndarray) -> np.ndarray:
    """Linear sRGB, shape (..., 3), as CIELAB D50/2°."""
    return xyz_to_lab(linear @ np.linalg.inv(xyz_to_srgb_linear(np.eye(3))))


def lab_of_codes(rgb: np.ndarray) -> np.ndarray:
    """8-bit sRGB codes, shape (..., 3), as CIELAB D50/2°."""
    return lab_of_linear(decode_srgb(np.asarray(rgb) / 255.0))

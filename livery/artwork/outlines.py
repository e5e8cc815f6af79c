"""Outlines of kit drawn as SVG, read with the same care as artwork.

The file holds one closed shape, in mm by the root's ``width``, ``height`` and ``viewBox``. Where it
holds further shapes (guides, notes), the outline is the one with ``data-part="outline"``. Inks
and lettering are looked past: nothing in the file prints.
"""

from __future__ import annotations

from pathlib import Path as FilePath

from lxml import etree

from livery.artwork.document import attributes_of, open_svg
from livery.artwork.reader import Reader
from livery.artwork.shapes import is_closed, shape_path
from livery.artwork.styles import Style
from livery.errors import ArtworkError
from livery.geometry import Affine, Path


def read_outline(path: FilePath) -> Path:
    """Read the one outline that an SVG file draws.

    Args:
        path: the file.

    Returns:
        A closed path in mm, x right, y down, where it stands on the file's page.

    Raises:
        ArtworkError: the file cannot be read, or draws no outline or several; every fault found.
    """
    reader = _OutlineReader(path, open_svg(path))
    reader.run()
    return reader.outline()


class _OutlineReader(Reader):
    """Gathers closed shapes and looks past inks and lettering."""

    def __init__(self, path: FilePath, root: etree._Element) -> None:
        super().__init__(path, root)
        self.closed: list[Path] = []

    def outline(self) -> Path:
        """The marked outline, or the only closed shape."""
        if self.faults:
            raise ArtworkError(*self.faults[:20])
        marked = [path for _, path in self.outlines]
        found = marked or self.closed
        if len(found) == 1:
            return found[0]
        if not found:
            said, mend = "no closed shape", "Draw the outline as one closed path"
        else:
            said = f"{len(found)} {'outlines' if marked else 'closed shapes'}"
            mend = "Mark the one that is the outline with data-part='outline'"
        raise ArtworkError(self.fault(self.root, f"it holds {said}", mend))

    def _shape(self, element: etree._Element, name: str, to_mm: Affine, style: Style) -> None:
        path = shape_path(name, attributes_of(element), style.rule)
        self._count(element, path)
        if element.get("data-part") is not None:
            self._part(element, path, to_mm)
        elif path.verbs and is_closed(path):
            self.closed.append(self._placed(element, path, to_mm))

    def _text(self, element: etree._Element, to_mm: Affine, style: Style) -> None:
        """Lettering is a note to people."""

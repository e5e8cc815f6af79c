"""SVG elements as text: attributes by name, so that equal elements are equal text."""

from __future__ import annotations

import re

_NAMESPACES = {
    "xmlns": "http://www.w3.org/2000/svg",
    "xmlns:xlink": "http://www.w3.org/1999/xlink",
}
_SPECIAL = re.compile('[&<>"\r\n\t]')
_WRITTEN = {
    "&": "&amp;",
    "<": "&lt;",
    ">": "&gt;",
    '"': "&quot;",
    "\r": "&#13;",
    "\n": "&#10;",
    "\t": "&#09;",
}


class Node:
    """One element.

    Args:
        name: of its kind.
        attributes: by name; those that XML would not let Python name are set by ``node[name]``.

    Attributes:
        inside: its children, elements or their text, in order.
    """

    __slots__ = ("_attributes", "_name", "_title", "inside")

    def __init__(self, name: str, **attributes: object) -> None:
        self._name = name
        self._attributes: dict[str, object] = attributes
        self._title = ""
        self.inside: list[Node | str] = []

    def __setitem__(self, name: str, value: object) -> None:
        self._attributes[name] = value

    def entitle(self, words: str) -> None:
        """Say what the element shows; its first child."""
        self._title = words

    def text(self) -> str:
        """The element and all in it."""
        pieces: list[str] = []
        self._write(pieces)
        return "".join(pieces)

    def _write(self, pieces: list[str]) -> None:
        pieces.append(f"<{self._name}")
        for name in sorted(self._attributes):
            if value := str(self._attributes[name]):
                pieces.append(f' {name}="{_escaped(value)}"')
        if not self.inside and not self._title:
            pieces.append(" />")
            return
        pieces.append(f"><title>{_escaped(self._title)}</title>" if self._title else ">")
        for child in self.inside:
            if isinstance(child, str):
                pieces.append(child)
            else:
                child._write(pieces)
        pieces.append(f"</{self._name}>")


def document_node(width: object, height: object, view_box: str) -> Node:
    """An empty document of a size."""
    document = Node("svg", width=width, height=height, version="1.1")
    document["viewBox"] = view_box
    for name, value in _NAMESPACES.items():
        document[name] = value
    return document


def use_node(identity: str) -> Node:
    """What is defined under an id, once more."""
    use = Node("use")
    use["xlink:href"] = f"#{identity}"
    return use


def _escaped(text: str) -> str:
    return _SPECIAL.sub(lambda found: _WRITTEN[found[0]], text)

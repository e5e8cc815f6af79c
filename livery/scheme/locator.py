"""Which line a TOML key stands on: the syntax tree is walked once, key path by key path."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Sequence
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from tree_sitter import Node

KeyPath = tuple[str | int, ...]

_BARE = re.compile(r"[A-Za-z0-9_-]+", re.ASCII)


def format_place(key_path: Sequence[str | int]) -> str:
    """Write a key path as people do: ``bats[0].dims.short-handle``."""
    parts: list[str] = []
    for step in key_path:
        if isinstance(step, int):
            parts.append(f"[{step}]")
        else:
            word = step if _BARE.fullmatch(step) else repr(step)
            parts.append(f".{word}" if parts else word)
    return "".join(parts)


def locate_keys(text: str) -> dict[KeyPath, int]:
    """Find the line of every key, table and array element of valid TOML.

    Args:
        text: TOML that ``tomllib`` accepts.

    Returns:
        Key path (names and 0-based indices) to 1-based line.
    """
    import tree_sitter
    import tree_sitter_toml

    parser = tree_sitter.Parser(tree_sitter.Language(tree_sitter_toml.language()))
    root = parser.parse(text.encode("utf-8")).root_node
    lines: dict[KeyPath, int] = {}
    arrays: dict[KeyPath, int] = {}  # array of tables to the index of its latest element
    for node in root.named_children:
        if node.type == "pair":
            _locate_value((), node, lines)
        elif node.type in ("table", "table_array_element"):
            _locate_table(node, lines, arrays)
    return lines


def _locate_table(node: Node, lines: dict[KeyPath, int], arrays: dict[KeyPath, int]) -> None:
    header, *body = [child for child in node.named_children if child.type != "comment"]
    path: KeyPath = ()
    names = _read_key(header)
    for depth, name in enumerate(names):
        path = (*path, name)
        lines.setdefault(path, _line(node))
        if depth == len(names) - 1 and node.type == "table_array_element":
            arrays[path] = arrays.get(path, -1) + 1
        if path in arrays:
            path = (*path, arrays[path])
    lines.setdefault(path, _line(node))
    for child in body:
        if child.type == "pair":
            _locate_value(path, child, lines)


def _locate_value(base: KeyPath, pair: Node, lines: dict[KeyPath, int]) -> None:
    """Record a pair and everything inside its value; a stack, as arrays may nest deeply."""
    stack = [(base, pair)]
    while stack:
        path, node = stack.pop()
        children = [child for child in node.named_children if child.type != "comment"]
        if node.type == "pair":
            for name in _read_key(children[0]):
                path = (*path, name)
                lines.setdefault(path, _line(node))
            stack.append((path, children[1]))
        elif node.type == "inline_table":
            stack.extend((path, child) for child in children)
        elif node.type == "array":
            for index, child in enumerate(children):
                lines.setdefault((*path, index), _line(child))
                stack.append(((*path, index), child))


def _read_key(node: Node) -> tuple[str, ...]:
    """Names of a bare, quoted or dotted key."""
    text = (node.text or b"").decode("utf-8")
    if node.type == "bare_key":
        return (text,)
    if node.type == "quoted_key":
        return tuple(tomllib.loads(f"{text} = 0"))
    return tuple(name for child in node.named_children for name in _read_key(child))


def _line(node: Node) -> int:
    return int(node.start_point[0]) + 1

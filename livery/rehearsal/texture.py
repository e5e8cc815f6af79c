"""Grain, weave and grip: fields of light and dark whose mean is 1.

Amplitudes and lengths are chosen by eye, so that pictures look like the materials; no material
was measured.
"""

from __future__ import annotations

import numpy as np

from livery.rehearsal.model import Image, Material


def texture(
    material: Material, shape: tuple[int, int], px_per_mm: float, generator: np.random.Generator
) -> Image:
    """A multiplier for the light that a surface throws back.

    Args:
        material: of the surface.
        shape: rows and columns in px.
        px_per_mm: scale of the raster.
        generator: seeded by the caller.

    Returns:
        Shape (rows, columns), mean 1; or (1, 1) for an even surface.

    Source:
        workshop-choice
    """
    if material is Material.WILLOW:
        field = _grain(shape, px_per_mm, generator, spacing_mm=7.0, depth=0.05)
    elif material is Material.LEATHER:
        field = 1.0 + _blotches(shape, px_per_mm, generator, 1.4, 0.035)
        field += _blotches(shape, px_per_mm, generator, 12.0, 0.02)
    elif material is Material.FABRIC:
        field = _weave(shape, px_per_mm, pitch_mm=0.9, depth=0.05)
        field += _blotches(shape, px_per_mm, generator, 8.0, 0.02)
    elif material is Material.MESH:
        field = _weave(shape, px_per_mm, pitch_mm=2.2, depth=0.14)
    elif material is Material.BENCH:
        field = _grain(shape, px_per_mm, generator, spacing_mm=23.0, depth=0.10)
    else:
        return np.ones((1, 1), dtype=np.float32)
    field /= field.mean()
    return field


def _blotches(
    shape: tuple[int, int],
    px_per_mm: float,
    generator: np.random.Generator,
    size_mm: float,
    depth: float,
) -> Image:
    """Smooth noise about 0, of a grain's size; ``depth`` is the standard deviation of its knots."""
    import cv2

    step = max(1.0, size_mm * px_per_mm / 2.0)
    small = (int(shape[0] / step) + 3, int(shape[1] / step) + 3)
    noise = generator.standard_normal(small, dtype=np.float32) * depth
    field = cv2.resize(noise, (shape[1], shape[0]), interpolation=cv2.INTER_CUBIC)
    return np.asarray(field, dtype=np.float32)


def _weave(shape: tuple[int, int], px_per_mm: float, pitch_mm: float, depth: float) -> Image:
    """Over and under along both threads."""
    turn = 2.0 * np.pi / (pitch_mm * px_per_mm)
    rows = np.sin(turn * np.arange(shape[0], dtype=np.float32))
    columns = np.sin(turn * np.arange(shape[1], dtype=np.float32))
    field: Image = (1.0 + depth * rows[:, None] * columns[None]).astype(np.float32)
    return field


def _grain(
    shape: tuple[int, int],
    px_per_mm: float,
    generator: np.random.Generator,
    spacing_mm: float,
    depth: float,
) -> Image:
    """Growth lines along the picture's height: dark where summer ends, softly wandering."""
    x_mm = np.arange(shape[1], dtype=np.float32)[None] / px_per_mm
    wander = _blotches(shape, px_per_mm, generator, 60.0, 0.12 * spacing_mm)
    phase = (x_mm + wander) / spacing_mm
    phase -= np.floor(phase)
    field: Image = (1.0 - depth * phase**3).astype(np.float32)
    field += _blotches((1, shape[1]), px_per_mm, generator, 0.6, 0.2 * depth)
    return field

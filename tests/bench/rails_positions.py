"""How well decals are found between rails, on simulated photographs.

Run by hand: ``python tests/bench/rails_positions.py [photographs]``.

Forty photographs: two cameras' worth of pixels, two sensors, four lights, tilt to 30° in any
direction, light that falls off by up to 30 %, veil to 2 %, JPEG 95 to 85, decals moved by up to
4 mm and turned by up to 4°. Prints the errors of every decal (95 %: the bar is 0.3 mm and 0.2°),
how often 95 % intervals cover the truth, and how many flaws were seen where none were made.
"""

import sys
import tempfile
from pathlib import Path

import numpy as np

from livery.capture import make_target, read_photograph, with_measured
from livery.capture.positions import find_positions
from livery.capture.target_layout import TargetKind, form_of
from livery.geometry import Affine
from livery.jobs.demonstration import demo_season
from livery.jobs.layout_choice import Choice, choose_layout
from livery.rehearsal import Camera, Light, Pose, render
from livery.rehearsal.face import Slip, face_scene

LIGHTS = ("D50", "D65", "LED-B3", "FL11")
SENSORS = ("nikon-5100", "sigma-sdmerill")
WIDTHS = (1800, 2700)


def settings(seed):
    """One photograph's settings, drawn by its number."""
    random = np.random.default_rng([2027, seed])
    tilt, way = random.uniform(0.0, 30.0), random.uniform(0.0, 2.0 * np.pi)
    width = WIDTHS[seed % 2]
    camera = Camera(
        SENSORS[seed // 2 % 2],
        width,
        width * 4 // 3,
        distortion=float(random.uniform(-0.01, 0.01)),
        defocus_px=float(random.uniform(0.5, 1.1)),
        veil=float(random.uniform(0.0, 0.02)),
        exposure=0.8,
        quality=int(random.integers(85, 96)),
    )
    light = Light(LIGHTS[seed // 4 % 4], float(random.uniform(0.0, 0.3)), 360.0 * random.random())
    pose = Pose(tilt * np.cos(way), tilt * np.sin(way), float(random.uniform(-6, 6)), 0.9)
    place = Affine.translation(90 + random.uniform(-2, 2), 27 + random.uniform(-2, 2))
    place = place @ Affine.rotation(float(random.uniform(-0.3, 0.3)))
    slips = [
        Slip(*(float(v) for v in (*random.uniform(-4, 4, 2), random.uniform(-4, 4))))
        for _ in range(8)
    ]
    return camera, light, pose, place, slips


def main(count):
    scheme, layout = choose_layout(Choice(demo_season()))
    target = make_target("rails", scheme.palette)[0]
    target = with_measured(target, {patch.name: patch.lab for patch in target.patches})
    window = form_of(TargetKind.RAILS).window_mm
    keys = [p.key for p in layout.placements if p.surface == "face"]
    errors, covered, flaws, refused = [], [], 0, []
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(count):
            camera, light, pose, place, slips = settings(seed)
            put_on = dict(zip(keys, slips, strict=False))
            scene = face_scene(target, window, layout, scheme.palette, place, put_on)
            photo = render(scene, camera, light, pose, seed)
            path = Path(folder) / "face.jpg"
            path.write_bytes(photo.data)
            found = find_positions(read_photograph(path), target, layout, scheme.palette)
            bad = [gate.gate for gate in found.gates if not gate.ok]
            if bad or found.blade is None:
                refused.append((seed, bad))
            for one in found.decals:
                if one.offset is None:
                    refused.append((seed, one.key, str(one.standing)))
                    continue
                o, true = one.offset, put_on[one.key]
                off = (o.dx_mm - true.dx_mm, o.dy_mm - true.dy_mm, o.turn_deg - true.turn_deg)
                errors.append(off)
                u95 = (o.dx_u95, o.dy_u95, o.turn_u95)
                covered.append([abs(e) <= u for e, u in zip(off, u95, strict=True)])
                flaws += len(one.flaws)
            print(seed, np.round(np.abs(errors[-len(found.decals) :]).max(axis=0), 3), flush=True)
    away = np.abs(np.array(errors))
    radial = np.hypot(away[:, 0], away[:, 1])
    print(f"decals {len(away)}, refused {refused}")
    print(f"distance mm: median {np.median(radial):.3f}, 95 % {np.percentile(radial, 95):.3f}")
    for name, column in zip(("across mm", "along mm", "turn deg"), away.T, strict=True):
        print(f"{name}: median {np.median(column):.3f}, 95 % {np.percentile(column, 95):.3f}")
    print("covered by 95 % intervals:", np.round(np.mean(covered, axis=0), 3))
    print(f"flaws seen where none were made: {flaws}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 40)

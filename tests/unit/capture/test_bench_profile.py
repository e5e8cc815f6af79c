"""A bench's colour learnt from many photographs: where it helps, and where it is refused."""

import json
from dataclasses import replace

import numpy as np
import pytest
from targets import measured_target

from livery.capture import capture_to_json, measure, read_bench, write_target
from livery.capture.bench_profile import BenchShot, try_bench
from livery.capture.colour_model import Patches, predict_lab
from livery.capture.model_choice import choose_model
from livery.colour import ciede2000, spectrum_to_lab
from livery.errors import InputError
from livery.jobs.photographs import measure_photograph
from livery.rehearsal import (
    Camera,
    Light,
    make_scene,
    render,
    rendition_patches,
    spectrum_of,
)
from livery.rehearsal.sensor import camera_rgb

NAMES = tuple(f"p{i}" for i in range(24))


def _lab(spectra):
    return np.stack([spectrum_to_lab(s.wavelengths_nm, s.reflectance, "D50") for s in spectra])


def _patches(light, noise, seed):
    """The rendition chart in a small, noisy photograph with its own exposure and white."""
    generator = np.random.default_rng(seed)
    spectra = rendition_patches()
    rgb = camera_rgb(spectra, "nikon-5100", light) * generator.uniform(0.85, 1.15, 3)
    across, down = np.meshgrid(np.linspace(-1, 1, 6), np.linspace(-0.6, 0.6, 4))
    place = np.stack([across.ravel(), down.ravel()], axis=1)
    shade = 1.0 + 0.1 * generator.uniform(-1, 1) * place[:, :1]
    rgb = rgb * shade * (1.0 + noise * generator.normal(size=rgb.shape))
    return Patches(rgb, place, _lab(spectra), np.ones(24))


def _shot(light, noise, seed):
    patches = _patches(light, noise, seed)
    return BenchShot(f"{seed}", NAMES, patches.rgb, patches.place, patches.lab)


def _trial(light, bench_light, noise=0.03, seed=99):
    shots = [_shot(bench_light, noise, other) for other in range(8)]
    patches = _patches(light, noise, seed)
    own = choose_model(patches)
    return patches, own, *try_bench(own, patches, NAMES, "this", shots)


def test_many_noisy_photographs_know_the_camera_better_than_one():
    sides = (-20, 0, 20)
    inks = [spectrum_of((level, a, b)) for level in (40, 55, 70) for a in sides for b in sides]
    seen = camera_rgb(tuple(inks), "nikon-5100", "D50")
    chart = camera_rgb(rendition_patches(), "nikon-5100", "D50")
    errors, used = [], []
    for seed in range(100, 104):
        patches, own, learnt, trial = _trial("D50", "D50", seed=seed)
        used.append(trial.used)
        assert trial.photographs == 8
        assert trial.used == (trial.error < 0.97 * trial.single_error)
        light = seen * np.median(patches.rgb / chart, axis=0)
        found = [predict_lab(fit, light, np.zeros((len(inks), 2))) for fit in (own, learnt)]
        errors.append([ciede2000(lab, _lab(inks)).mean() for lab in found])
    single, bench = np.mean(errors, axis=0)
    assert bench < single
    assert sum(used) >= 3


def test_a_bench_in_another_light_is_refused():
    _, own, chosen, trial = _trial("A", "FL11", noise=0.005)
    assert not trial.used
    assert chosen is own
    assert trial.error > trial.single_error


def test_two_photographs_are_no_bench_and_a_photograph_is_no_evidence_about_itself():
    patches = _patches("D50", 0.02, 1)
    own = choose_model(patches)
    shots = [_shot("D50", 0.02, seed) for seed in range(3)]
    _, trial = try_bench(own, patches, NAMES, "2", shots)
    assert (trial.photographs, trial.error, trial.used) == (2, None, False)


@pytest.fixture(scope="module")
def captures(tmp_path_factory):
    """Four simulated photographs of one small card, as measured."""
    target = measured_target("card")
    scene = make_scene(target)
    folder = tmp_path_factory.mktemp("bench")
    found = []
    for seed in range(4):
        camera = Camera(width_px=1100, height_px=850, exposure=0.7, full_well=1500.0)
        photo = render(scene, camera, Light("D65"), seed=seed)
        path = folder / f"{seed}.jpg"
        path.write_bytes(photo.data)
        found.append(path)
        data = capture_to_json(measure(path, target))
        (folder / f"{seed}.capture.json").write_text(json.dumps(data), "utf-8")
    return target, folder, found


def test_stored_captures_teach_the_next_photograph(captures):
    target, folder, photos = captures
    shots = read_bench(folder)
    assert len(shots) == 4
    capture = measure(photos[0], target, bench=shots)
    trial = capture.characterisation.bench
    assert trial.photographs == 3
    said = capture_to_json(capture)["characterisation"]["bench"]
    assert said["error"] == pytest.approx(trial.error, abs=1e-8)
    assert said["used"] is trial.used
    assert capture.characterisation.loo_mean == pytest.approx(
        trial.error if trial.used else trial.single_error, abs=1e-9
    )


def test_a_folder_of_captures_may_be_named_from_outside(captures, tmp_path):
    target, folder, photos = captures
    named = tmp_path / "target.toml"
    write_target(target, named)
    _, data = measure_photograph(photos[1], str(named), None, None, None, bench=folder)
    assert data["characterisation"]["bench"]["photographs"] == 3


def test_only_good_captures_of_measured_targets_are_read(captures, tmp_path):
    _, folder, _ = captures
    data = json.loads((folder / "0.capture.json").read_text("utf-8"))
    for name, change in {
        "blurred": {"gates": [{**data["gates"][0], "ok": False, "region": ""}], "source": "b"},
        "nominal": {"absolute": False, "source": "n"},
        "again": {},
        "good": {},
    }.items():
        (tmp_path / f"{name}.capture.json").write_text(json.dumps({**data, **change}), "utf-8")
    assert len(read_bench(tmp_path)) == 1


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", ": is no capture file"),
        ("[]", r": \[\]: input should be a valid dictionary"),
        ('{"patches": 3}', ": patches: 3: input should be a valid list"),
        ("\x00", ": is no capture file"),
        ("[" * 100_000, ": is no capture file"),
    ],
    ids=["empty", "list", "number", "zero", "deep"],
)
def test_a_file_that_is_no_capture_is_named(tmp_path, text, told):
    (tmp_path / "odd.capture.json").write_text(text, "utf-8")
    with pytest.raises(
        InputError, match=rf"odd\.capture\.json{told}.* Measure its photograph again"
    ):
        read_bench(tmp_path)


def test_a_folder_without_captures_is_refused(tmp_path):
    with pytest.raises(InputError, match=r"capture\.json"):
        read_bench(tmp_path)
    with pytest.raises(InputError, match="no folder"):
        read_bench(tmp_path / "none")


def test_names_that_are_not_here_do_no_harm():
    shots = [
        replace(_shot("D50", 0.02, s), names=tuple(f"q{i}" for i in range(24))) for s in range(3)
    ]
    patches = _patches("D50", 0.02, 7)
    _, trial = try_bench(choose_model(patches), patches, NAMES, "this", shots)
    assert trial.photographs == 3
    assert 0.0 < trial.error < 5.0

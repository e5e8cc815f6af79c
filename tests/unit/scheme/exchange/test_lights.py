"""A light's spectrum as people and meters write it."""

import numpy as np
import pytest

from livery.errors import ExchangeError
from livery.scheme.exchange import read_light

WAVES = np.arange(380, 781, 10)
POWER = np.round(1 + 0.5 * np.sin(WAVES / 60), 3)


def lines(form, comma=False):
    found = [form.format(wave=wave, power=power) for wave, power in zip(WAVES, POWER, strict=True)]
    return [line.replace(".", ",") for line in found] if comma else found


DIALECTS = {
    "blanks": ("{wave} {power}", False),
    "tabs": ("{wave}\t{power}", False),
    "tabs and decimal commas": ("{wave}\t{power}", True),
    "semicolons and decimal commas": ("{wave};{power}", True),
    "semicolons and blanks": ("{wave} ; {power}", False),
    "commas": ("{wave},{power}", False),
    "commas and blanks": ("{wave}, {power}", False),
}


@pytest.mark.parametrize("name", DIALECTS)
@pytest.mark.parametrize("end", ["\n", "\r\n"])
def test_a_light_is_read_in_every_dialect(tmp_path, name, end):
    form, comma = DIALECTS[name]
    head = ["# a meter", "wavelength power", ""]
    path = tmp_path / "stand.txt"
    path.write_bytes(end.join([*head, *lines(form, comma), ""]).encode("utf-8-sig"))
    light = read_light(path)
    assert light.name == "stand"
    assert light.wavelengths_nm.tolist() == WAVES.tolist()
    assert light.power.tolist() == POWER.tolist()


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "at least four"),
        ("words only\n", "at least four"),
        ("400 1\n410 2 3\n", "3 numbers"),
        ("400 1\n410 nan\n", "not a number"),
        ("400 1\n500 1\n600 1\n700 1\n", "at most 20 nm"),
        ("\n".join(f"{w} {-1}" for w in WAVES), "below zero"),
        ("\n".join(f"{w} 0" for w in WAVES), "no light at all"),
        ("\n".join(f"{w} 1" for w in WAVES[::-1]), "must rise"),
    ],
)
def test_what_is_no_light_is_refused_at_its_file(tmp_path, text, words):
    path = tmp_path / "x.txt"
    path.write_text(text)
    with pytest.raises(ExchangeError, match=words) as caught:
        read_light(path, "lamp")
    assert caught.value.faults[0].file == str(path)


def test_a_light_may_be_named(tmp_path):
    path = tmp_path / "x.txt"
    path.write_text("\n".join(lines("{wave} {power}")))
    assert read_light(path, "floodlight of the ground").name == "floodlight of the ground"

"""Damaged files: a clear error or the right value, never a wrong number."""

import re
from itertools import chain

import numpy as np
import pytest

from livery.colour import ciede2000
from livery.errors import ExchangeError
from livery.scheme.exchange import settle
from livery.scheme.exchange.reading import parse_colours
from livery.scheme.exchange.settling import AGREES_DE00

EACH = 200  # for every form, with and without spectra
LETTERS = '0123456789.,-+eE \t\n"<>/=#;ABDLMX'


def mutate(text, generator, spots):
    """One injury: to a letter at one of those spots, to a line, or to the file's length."""
    kind = generator.integers(8)
    at = spots[generator.integers(len(spots))]
    letter = LETTERS[generator.integers(len(LETTERS))]
    if kind == 0:
        return text[:at] + text[at + 1 :]
    if kind == 1:
        return text[:at] + letter + text[at:]
    if kind in (2, 3):
        return text[:at] + letter + text[at + 1 :]
    if kind == 4:
        return text[:at]
    lines = text.split("\n")
    one, other = (int(generator.integers(len(lines))) for _ in range(2))
    if kind == 5:
        lines[one], lines[other] = lines[other], lines[one]
    elif kind == 6:
        del lines[one]
    else:
        lines.insert(one, lines[other])
    return "\n".join(lines)


def outcomes(text, seed, spots=None):
    """(mutated text, what was read or None) of many mutations; any other error fails the test."""
    generator = np.random.default_rng(seed)
    for _ in range(EACH):
        mutated = mutate(text, generator, spots or range(len(text)))
        try:
            yield mutated, settle(parse_colours(mutated.encode(), "file"))
        except ExchangeError as error:
            assert all(fault.found and fault.mend for fault in error.faults)
            yield mutated, None


@pytest.mark.parametrize("form", ["cgats", "cxf"])
def test_with_spectra_every_value_is_held_against_its_twin(form, cgats, cxf):
    text = {"cgats": cgats, "cxf": cxf}[form]()
    original = {one.id: one.lab for one in settle(parse_colours(text.encode(), "file")).readings}
    refused = 0
    for mutated, found in outcomes(text, seed=11):
        refused += found is None
        for one in found.readings if found else ():
            if one.id in original:
                # Whole lines that changed places say something else, and are read so.
                meant = [original[one.id]] if _in_place(mutated, text) else list(original.values())
                apart = min(float(ciede2000(one.lab, lab)) for lab in meant)
                assert apart <= AGREES_DE00 + 0.05, mutated
    assert EACH // 4 < refused < EACH


@pytest.mark.parametrize("form", ["cgats", "cxf"])
def test_lab_alone_is_what_the_file_says(form, cgats, cxf):
    text = {"cgats": cgats, "cxf": cxf}[form](spectra=False)
    original = {one.id: one.lab for one in settle(parse_colours(text.encode(), "file")).readings}
    numbers = re.finditer(r"-?\d+\.\d\d", text)
    spots = [at for number in numbers for at in range(number.start(), number.end())]
    altered = 0
    for mutated, found in chain(outcomes(text, 12), outcomes(text, 13, spots)):
        changed = 0
        for one in found.readings if found else ():
            differing = [
                value
                for value, was in zip(one.lab, original.get(one.id, one.lab), strict=True)
                if value != was
            ]
            # One injury may change one number, to what then stands in the file.
            assert all(_stands(value, mutated) for value in differing), mutated
            changed += bool(differing)
        assert changed <= (1 if _in_place(mutated, text) else 2), mutated
        altered += bool(changed)
    assert altered > EACH // 10


def _in_place(mutated, text):
    """Whether no whole lines only changed places."""
    return sorted(mutated.split("\n")) != sorted(text.split("\n"))


def _stands(value, text):
    words = text.replace("<", " ").replace(">", " ").replace('"', " ").split()
    for word in words:
        try:
            if float(word.replace(",", ".")) == value:
                return True
        except ValueError:
            continue
    return False

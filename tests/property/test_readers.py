"""Whatever bytes a file holds, its reader gives a value or an error that says how to mend it."""

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from readers import READERS, prepare, take
from strategies import bad_files


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("files")
    prepare(place)
    return place


@pytest.mark.parametrize("name", READERS)
def test_good_files_are_read(name: str, folder: Path) -> None:
    reader = READERS[name]
    assert all(take(reader, folder, seed) for seed in reader.seeds)


@pytest.mark.usefixtures("soon")
@pytest.mark.parametrize("name", READERS)
@settings(max_examples=30)
@given(data=st.data())
def test_bad_files_are_read_or_refused_clearly(
    name: str, folder: Path, data: st.DataObject
) -> None:
    reader = READERS[name]
    take(reader, folder, data.draw(bad_files(reader.seeds)))

"""What a text in a season may hold."""

import pytest
from pydantic_core import PydanticCustomError

from livery.scheme.fields import _read_words


@pytest.mark.parametrize("name", ["ශ්‍රී ලංකා", "نوی‌سا", "क्‍ष", "Zoë Fellgarth"])
def test_joiners_belong_to_the_spelling_of_names(name: str) -> None:
    assert _read_words(name) == name


@pytest.mark.parametrize("text", ["a\u200db", "\u200d", "Wren\u202e", "a\nb", "ශ්\u200e", "\u2066x"])
def test_what_is_unseen_and_joins_nothing_is_refused(text: str) -> None:
    with pytest.raises(PydanticCustomError, match="control character"):
        _read_words(text)

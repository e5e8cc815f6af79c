import pickle

import livery.errors as errors
from livery.errors import Fault, InputError, LiveryError, SeasonError

FAULT = Fault("season.toml", "bats[0].sizes", 12, "'size-9' is no size", "Use size-1 to size-6")


def test_a_fault_says_where_what_and_how_to_mend_it() -> None:
    assert str(FAULT) == (
        "season.toml:12: bats[0].sizes: 'size-9' is no size. Use size-1 to size-6"
    )


def test_every_fault_is_in_the_message() -> None:
    error = SeasonError(FAULT, Fault("season.toml", "", None, "no orders", "Add [[orders]]"))
    assert len(str(error).splitlines()) == 2
    assert isinstance(error, ValueError)


def test_faults_survive_the_way_between_processes() -> None:
    error = pickle.loads(pickle.dumps(SeasonError(FAULT)))
    assert isinstance(error, SeasonError)
    assert error.faults == (FAULT,)


def test_every_error_has_one_root() -> None:
    classes = [c for c in vars(errors).values() if isinstance(c, type) and issubclass(c, Exception)]
    assert all(issubclass(c, LiveryError) for c in classes)
    assert InputError in classes

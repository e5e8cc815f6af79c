from livery.jobs.naming import file_stem, file_stems


def test_keys_that_differ_have_files_of_their_own() -> None:
    keys = ["Q-1", "Q_1", "Q.1", "q1", "a"]
    assert len({file_stem(key) for key in keys}) == len(keys)
    assert file_stem("../é") == "order"
    assert file_stem("a/b") == "a-b"
    alike = ["a/b", "a:b", "A b", "a-b-2", "..."]
    stems = file_stems(alike)
    assert list(stems) == alike
    assert len({stem.lower() for stem in stems.values()}) == len(alike)

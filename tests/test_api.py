"""The public names: all there, documented, with types that resolve."""

import inspect
import typing
from pathlib import Path

import pytest

import workbook
from workbook import api


@pytest.mark.parametrize("name", api.__all__)
def test_every_public_name_is_had_from_the_package_and_documented(name):
    found = getattr(workbook, name)
    assert found is getattr(api, name)
    if inspect.isfunction(found) or inspect.isclass(found):
        assert found.__doc__, name
        typing.get_type_hints(found)


def test_what_is_not_public_is_not_had_from_the_package():
    with pytest.raises(AttributeError, match="no attribute 'Path'"):
        workbook.Path  # noqa: B018
    assert workbook.__all__ == api.__all__


def test_the_functions_say_what_they_take_return_and_raise():
    for name in ("build", "study_pages"):
        text = inspect.getdoc(getattr(workbook, name))
        for heading in ("Args:", "Returns:", "Raises:"):
            assert heading in text, name
        for parameter in inspect.signature(getattr(workbook, name)).parameters:
            assert f"{parameter}" in text, (name, parameter)


def test_check_finds_nothing_in_a_good_build_and_something_in_a_bad_one(demo, tmp_path):
    import shutil

    one = next(path.parent for path in sorted(demo.rglob("key.json")))
    copy = shutil.copytree(one, tmp_path / "copy")
    assert list(workbook.check(copy)) == []
    (copy / "answers.pdf").unlink()
    assert "answers.pdf" in str(next(iter(workbook.check(str(copy)))))


def test_a_folder_without_workbooks_is_not_well(tmp_path):
    for folder in (tmp_path, tmp_path / "none"):
        with pytest.raises(workbook.InputError, match=r"there is no key\.json in it or below it"):
            list(workbook.check(folder))


def test_the_package_says_that_it_is_typed():
    assert (Path(workbook.__file__).parent / "py.typed").is_file()

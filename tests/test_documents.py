"""The documents say what there is: files, links, commands, words short enough to read."""

import re
import subprocess
from pathlib import Path

import click
import pytest

from workbook.cli import main

ROOT = Path(__file__).parents[1]
DOCUMENTS = ("README.md", "DEVELOPERS.md", "fonts.md")
MOST_WORDS = 120
FENCED = re.compile(r"^```.*?^```$", re.DOTALL | re.MULTILINE)
COMMAND = re.compile(r"^workbook (.+)$", re.MULTILINE)
FILE = re.compile(r"`((?:[\w.-]+/)*[\w-]+\.(?:py|toml|md|json))`")
TO_BE_WRITTEN = {
    "key.json",
    "journal.json",
    "spring.toml",
    "mine.toml",
    "studio.toml",
    "build.json",
    "__init__.py",
}
"""Files of a teacher or a build, not of this project."""


def read(name: str) -> str:
    return (ROOT / name).read_text("utf-8")


def prose(name: str) -> str:
    """A document without its blocks of code."""
    return FENCED.sub("", read(name))


def files() -> list[str]:
    found = subprocess.run(
        ["git", "ls-files", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    ).stdout.splitlines()
    return found or [
        path.relative_to(ROOT).as_posix()
        for path in ROOT.rglob("*")
        if path.is_file() and ".venv" not in path.parts
    ]


@pytest.mark.parametrize("name", DOCUMENTS)
def test_no_paragraph_is_long(name):
    # the recipe of a family is a list of steps, some of them long
    text = re.sub(r"## Add a family.*?\n## ", "## ", prose(name), flags=re.DOTALL)
    pieces = re.split(r"\n\s*\n|\n(?=[-|#]|\d+\. )", text)
    long = [p for p in pieces if not p.startswith("|") and len(p.split()) > MOST_WORDS]
    assert not long, long


@pytest.mark.parametrize("name", DOCUMENTS)
def test_files_that_are_named_exist(name):
    there = files()
    missing = [
        file
        for file in FILE.findall(prose(name))
        if file not in TO_BE_WRITTEN
        and not file.startswith("my-templates/")
        and not any(f"/{one}".endswith(f"/{file}") for one in there)
    ]
    assert not missing


@pytest.mark.parametrize("name", DOCUMENTS)
def test_links_and_pictures_lead_somewhere(name):
    text = prose(name)
    headings = re.findall(r"^#+ (.+)$", text, re.MULTILINE)
    anchors = {re.sub(r"[^\w -]", "", one.lower()).replace(" ", "-") for one in headings}
    for target in re.findall(r"\]\(([^)]+)\)|src=\"([^\"]+)\"", text):
        (link,) = filter(None, target)
        if link.startswith("#"):
            assert link[1:] in anchors, link
        else:
            assert (ROOT / link).is_file(), link


def test_the_first_commands_are_whole_and_the_second_is_what_ci_runs():
    setup = 'python3 -m venv .venv && .venv/bin/pip install -e ".[test]" && .venv/bin/'
    blocks = re.findall(r"^```sh\n(.*?)\n```$", read("README.md"), re.DOTALL | re.MULTILINE)
    assert blocks[:2] == [f"{setup}workbook demo", f"{setup}pytest"]
    assert f"\n{blocks[1]}\n" in read(".ci/run")


def test_every_command_in_the_readme_is_one():
    shown = COMMAND.findall("\n".join(FENCED.findall(read("README.md"))))
    assert {line.split()[0] for line in shown} >= {"build", "print", "study", "preview", "check"}
    for line in shown:
        command, words = main, line.split()
        while isinstance(command, click.Group):
            command = command.commands[words.pop(0)]
        options = {name for param in command.params for name in param.opts}
        assert {word for word in words if word.startswith("--")} <= options, line


def test_every_option_in_the_readme_is_one():
    def of(command):
        if isinstance(command, click.Group):
            return set().union(*map(of, command.commands.values()))
        return {name for param in command.params for name in (*param.opts, *param.secondary_opts)}

    assert set(re.findall(r"`(--[a-z-]+)", read("README.md"))) <= of(main) | {"--help"}


def test_every_environment_variable_is_in_the_readme():
    table = read("README.md").split("## Environment variables\n")[1].split("\n## ")[0]
    code = "".join(path.read_text("utf-8") for path in (ROOT / "workbook").rglob("*.py"))
    used = set(re.findall(r'"(WORKBOOK_[A-Z]+)"', code))
    assert used == set(re.findall(r"^\| `(\w+)`", table, re.MULTILINE)) and used

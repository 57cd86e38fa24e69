"""The list of commands: it is shown without loading a command, and says what each says itself."""

from __future__ import annotations

from importlib import import_module

import pytest
import typer
from typer.main import get_command, get_group
from typer.testing import CliRunner

from service.cli.app import COMMANDS, app
from service.cli.late import ListedCommand
from service.jobs import add_to

NAMES = [
    "serve", "demo", "quote", "batch", "reprice", "quotes", "events", "catalog", "check-jobs",
    "prices", "db", "keys", "settings", "openapi",
]  # fmt: skip


def test_app_lists_every_command_once() -> None:
    """The commands are those that were there, in their order."""
    assert [each.name for each in COMMANDS] == NAMES
    assert list(get_group(app).commands) == NAMES


@pytest.mark.parametrize("listed", COMMANDS, ids=NAMES)
def test_commands_words_are_the_commands_own(listed: ListedCommand) -> None:
    """What the list says of a command is the first paragraph of its own help."""
    own = typer.Typer()
    import_module(f"service.cli.{listed.module}").register(own)
    command = get_group(own).commands[listed.name]
    assert listed.words == " ".join((command.help or "").split("\n\n")[0].split())


def test_app_shows_the_help_of_a_command_itself() -> None:
    """Help of a late command has its own options and its subcommands."""
    shown = CliRunner().invoke(app, ["quote", "--help"], env={"COLUMNS": "200"})
    assert shown.exit_code == 0
    assert "--compare" in shown.stdout
    assert "service quote [OPTIONS] {FILE}" in shown.stdout
    grouped = CliRunner().invoke(app, ["prices", "import", "--help"], env={"COLUMNS": "200"})
    assert "--accept-removals" in grouped.stdout


def test_app_refuses_an_unknown_command_with_the_nearest() -> None:
    """A slip of the pen is wrong usage, and the right name stands beside it."""
    refused = CliRunner().invoke(app, ["qoute"])
    assert refused.exit_code == 2
    assert "'quote'" in refused.stderr


def test_app_without_words_shows_the_help() -> None:
    """`python -m service` alone lists the commands."""
    shown = CliRunner().invoke(app, [], env={"COLUMNS": "200"})
    assert all(f" {name} " in shown.output for name in NAMES)


def test_work_joins_the_list() -> None:
    """The command of workers is added beside the others."""
    whole = typer.Typer()
    add_to(whole)
    assert get_command(whole).name == "work"

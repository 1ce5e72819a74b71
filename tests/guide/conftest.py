"""The command in this process, as the tests of the command line have it."""

from tests.cli.conftest import run

__all__ = ["run"]

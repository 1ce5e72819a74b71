"""`python -m tests.outside`: `spice` and `fields` run the outside program again and compare with what is kept; `ships`
installs what is built into bare environments, and tries it there."""

from __future__ import annotations

import argparse

from tests.outside import ships
from tests.outside.fields import command as fields
from tests.outside.spice import command as spice


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.outside", description=__doc__)
    commands = parser.add_subparsers(required=True)
    spice.add_to(commands)
    fields.add_to(commands)
    ships.add_to(commands)
    arguments = parser.parse_args()
    raise SystemExit(arguments.run(arguments))


if __name__ == "__main__":
    main()

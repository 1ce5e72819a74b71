"""`python -m tests.outside spice` or `fields`: run the outside program again and compare with the kept results."""

from __future__ import annotations

import argparse

from tests.outside.fields import command as fields
from tests.outside.spice import command as spice


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.outside", description=__doc__)
    commands = parser.add_subparsers(required=True)
    spice.add_to(commands)
    fields.add_to(commands)
    arguments = parser.parse_args()
    raise SystemExit(arguments.run(arguments))


if __name__ == "__main__":
    main()

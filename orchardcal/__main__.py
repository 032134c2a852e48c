"""The command `orchardcal`: loads only the command asked for, turns errors into messages."""

from __future__ import annotations

import sys

from orchardcal.commands import orchardcal


def main() -> None:
    """Entry point of the console script."""
    sys.exit(orchardcal.main(standalone_mode=True, prog_name="orchardcal"))


if __name__ == "__main__":
    main()

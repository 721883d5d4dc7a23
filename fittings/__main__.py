"""The `fittings` command, and `python -m fittings`."""

import sys


def main() -> None:
    """Entry point of the command: Ctrl-C ends it with a word, also while it is still being loaded."""
    try:
        from fittings.cli import main as command

        command()
    except KeyboardInterrupt:
        sys.stderr.write("stopped\n")
        sys.exit(130)


if __name__ == "__main__":
    main()

"""The `fittings` command and `python -m fittings`."""

import gc
import sys


def main() -> None:
    """Run the command line; Ctrl-C ends it with a word, also while it is still being loaded.

    Before anything else is loaded, the collector of unused cycles is told to look around less often: loading makes a
    hundred thousand objects and hardly a cycle (docs/performance-log.md).
    """
    gc.set_threshold(500_000)
    try:
        from fittings.cli import main as command_line

        command_line()
    except KeyboardInterrupt:
        sys.stderr.write("stopped\n")
        sys.exit(130)


if __name__ == "__main__":
    main()

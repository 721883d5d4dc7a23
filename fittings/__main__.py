"""The `fittings` command and `python -m fittings`."""

import gc


def main() -> None:
    """Run the command line.

    Before anything else is loaded, the collector of unused cycles is told to look around less often: loading makes a
    hundred thousand objects and hardly a cycle (docs/performance-log.md).
    """
    gc.set_threshold(50_000)
    from fittings.cli import main as command_line

    command_line()


if __name__ == "__main__":
    main()

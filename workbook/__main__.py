"""``workbook`` and ``python -m workbook`` run the command."""

import signal


def run() -> None:
    """Run the command. Until it is loaded, Ctrl+C ends it silently."""
    before = signal.getsignal(signal.SIGINT)
    if before is signal.default_int_handler:
        signal.signal(signal.SIGINT, signal.SIG_DFL)
    from workbook.cli.entry import run as command

    signal.signal(signal.SIGINT, before)
    command()


if __name__ == "__main__":
    run()

"""``python -m workbook`` runs the command."""

from workbook.cli.entry import run

if __name__ == "__main__":
    run()

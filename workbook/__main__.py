"""``python -m workbook`` runs the command."""

from workbook.cli import main

if __name__ == "__main__":
    main()

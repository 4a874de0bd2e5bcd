"""What tests read in ``key.json``."""


def items(data: dict) -> list[dict]:
    """The items of all sections, in order."""
    return [item for section in data["sections"] for item in section["items"]]

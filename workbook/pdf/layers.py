"""Layers (optional content): which of a file's are printed, and the same in a print job.

In: a PDF. Out: the state of each layer. See ISO 32000-1, 8.11 (optional content;
8.11.4.3 for the configuration, 8.11.4.4 for what printing changes).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import pikepdf

from workbook.pdf.syntax import Key, array, dictionary, reference


def printed_layers(pdf: pikepdf.Pdf) -> dict[Key, bool]:
    """For each layer of a file whether it is printed as the file is opened."""
    properties = pdf.Root.get("/OCProperties")
    if properties is None:
        return {}
    default = properties.get("/D", pikepdf.Dictionary())
    shown = default.get("/BaseState") != pikepdf.Name.OFF
    states = {layer.objgen: shown for layer in _layers(properties)}
    states |= {layer.objgen: True for layer in _layers(default, "/ON")}
    states |= {layer.objgen: False for layer in _layers(default, "/OFF")}
    for change in default.get("/AS", ()):
        if change.get("/Event") == pikepdf.Name.Print:
            states |= _when_printed(change)
    return states


def layer_properties(states: Mapping[int, bool]) -> bytes:
    """The entry of a catalog for layers, given by their numbers, that are printed or not."""
    hidden = [number for number, shown in states.items() if not shown]
    return dictionary(
        {
            "OCGs": array(map(reference, states)),
            "D": dictionary({"OFF": array(map(reference, hidden))}),
        }
    )


def _when_printed(change: pikepdf.Object) -> dict[Key, bool]:
    """The layers that a usage application dictionary sets for printing."""
    if pikepdf.Name.Print not in list(change.get("/Category", ())):
        return {}
    found = {}
    for layer in _layers(change):
        usage = layer.get("/Usage", pikepdf.Dictionary()).get("/Print", pikepdf.Dictionary())
        if "/PrintState" in usage:
            found[layer.objgen] = usage["/PrintState"] != pikepdf.Name.OFF
    return found


def _layers(where: pikepdf.Object, name: str = "/OCGs") -> Iterator[pikepdf.Object]:
    for layer in where.get(name, ()):
        if isinstance(layer, pikepdf.Dictionary) and layer.is_indirect:
            yield layer

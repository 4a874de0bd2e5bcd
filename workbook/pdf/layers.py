"""Layers (optional content): which of a file's are printed, and the same in a print job.

In: a PDF. Out: the state of each layer. See ISO 32000-1, 8.11 (optional content;
8.11.4.3 for the configuration, 8.11.4.4 for what printing changes).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import pikepdf

from workbook.pdf.syntax import Key, array, dictionary, reference

_STATES = {"/Print": "/PrintState", "/View": "/ViewState", "/Export": "/ExportState"}
"""The categories of usage that show or hide a layer, and the entry that says which."""


def printed_layers(pdf: pikepdf.Pdf) -> dict[Key, bool]:
    """For each layer of a file whether it is printed as the file is opened.

    A layer that the file does not list is in the state that it gives to all; one that is
    written where it is used becomes an object of ``pdf``, so that it may be hidden.
    """
    properties = pdf.Root.get("/OCProperties")
    if properties is None:
        return {}
    default = properties.get("/D", pikepdf.Dictionary())
    shown = default.get("/BaseState") != pikepdf.Name.OFF
    states = {layer.objgen: shown for layer in _unlisted(pdf)}
    states |= {layer.objgen: shown for layer in _layers(properties)}
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


def plain_layer(value: pikepdf.Object) -> pikepdf.Object:
    """A layer with nothing but its name; any other object as it is.

    Its state is fixed in a print job. Some readers let its usage or its intent overrule that.
    """
    if not _is_layer(value):
        return value
    return pikepdf.Dictionary(Type=pikepdf.Name.OCG, Name=value.get("/Name", pikepdf.String("")))


def _when_printed(change: pikepdf.Object) -> dict[Key, bool]:
    """The layers that a usage application dictionary sets for printing.

    Several categories show a layer only if none of them hides it.
    """
    found: dict[Key, bool] = {}
    categories = [str(name) for name in change.get("/Category", ())]
    for layer in _layers(change):
        usage = layer.get("/Usage", pikepdf.Dictionary())
        for category in categories:
            state = usage.get(category, pikepdf.Dictionary()).get(_STATES.get(category, "/None"))
            if state is not None:
                shown = state != pikepdf.Name.OFF
                found[layer.objgen] = found.get(layer.objgen, True) and shown
    return found


def _layers(where: pikepdf.Object, name: str = "/OCGs") -> Iterator[pikepdf.Object]:
    for layer in where.get(name, ()):
        if isinstance(layer, pikepdf.Dictionary) and layer.is_indirect:
            yield layer


def _is_layer(value: object) -> bool:
    return isinstance(value, pikepdf.Dictionary) and value.get("/Type") == pikepdf.Name.OCG


def _unlisted(pdf: pikepdf.Pdf) -> Iterator[pikepdf.Object]:
    """Every layer of a file, in whatever object it stands."""
    for value in list(pdf.objects):
        if _is_layer(value):
            yield value
        else:
            yield from _within(pdf, value)


def _within(pdf: pikepdf.Pdf, value: object) -> Iterator[pikepdf.Object]:
    """The layers written within an object, made objects of the file."""
    places: list[tuple[str | int, object]] = []
    if isinstance(value, pikepdf.Stream):
        places = list(value.stream_dict.items())
    elif isinstance(value, pikepdf.Dictionary):
        places = list(value.items())
    elif isinstance(value, pikepdf.Array):
        places = list(enumerate(value))
    for place, one in places:
        if not isinstance(one, pikepdf.Dictionary | pikepdf.Array) or one.is_indirect:
            continue
        if _is_layer(one):
            layer = pdf.make_indirect(one)
            value[place] = layer  # type: ignore[index]  # a container, or it has no places
            yield layer
        else:
            yield from _within(pdf, one)

"""Files with object streams, read by another library (ISO 32000-1, 7.5.7 and 7.5.8)."""

import io
import zlib

import pikepdf
import pytest

from workbook.pdf.packed import Table, packed


def test_parts_are_compressed_apart():
    objects = [
        b"<</Type /Catalog /Pages 2 0 R /Names 4 0 R>>",
        b"<</Type /Pages /Kids [] /Count 0>>",
    ]
    parts = [b"<</Part %d>>" % number for number in range(2500)]
    with pikepdf.open(io.BytesIO(packed([*objects, b"<<>>"], parts, 1, 3))) as pdf:
        assert pdf.Root.Names.Part == 0 and pdf.get_object(2503, 0).Part == 2499
        streams = {entry.obj_stream_number for entry in pdf.get_xref_table().values()}
        by_number = {key[0]: entry for key, entry in pdf.get_xref_table().items()}
        catalog, first, last = (by_number[number].obj_stream_number for number in (1, 4, 2503))
        assert len({catalog, first, last}) == 3 and len(streams) == 5


@pytest.mark.parametrize("place", [15, 2**32 - 1, 2**32, 2**39 + 12345])
def test_places_have_five_bytes(place):
    table = Table(2)
    table.put(1, place)
    table.put_within(2, 70000, 999)
    ending = table.ending(2**33, 1, 2)
    rows = zlib.decompress(ending.partition(b"stream\n")[2].partition(b"\nendstream")[0])
    assert b"/W [1 5 2]" in ending
    found = [
        (row[0], int.from_bytes(row[1:6]), int.from_bytes(row[6:]))
        for row in (rows[start : start + 8] for start in range(0, len(rows), 8))
    ]
    assert found == [(0, 0, 65535), (1, place, 0), (2, 70000, 999), (1, 2**33, 0)]

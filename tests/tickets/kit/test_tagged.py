"""A tagged PDF: an independent reader finds each text as what it is, in reading order, also over two pages."""

import ctypes
from collections.abc import Iterator
from io import BytesIO
from typing import Any

import pypdfium2.raw as pdfium

from tests.tickets.paper import pages
from tickets.kit.box import Box
from tickets.kit.pages import new_pen
from tickets.kit.paper import SHEETS
from tickets.kit.tagged import TaggedPen

Found = tuple[int, str, int]
"""How deep a part lies, what it is, and how many texts it has on the page."""


def read(page: Any) -> Iterator[Found]:
    tree = pdfium.FPDF_StructTree_GetForPage(page)
    for n in range(pdfium.FPDF_StructTree_CountChildren(tree)):
        yield from _read(pdfium.FPDF_StructTree_GetChildAtIndex(tree, n), 0)
    pdfium.FPDF_StructTree_Close(tree)


def _read(element: Any, depth: int) -> Iterator[Found]:
    room = ctypes.create_string_buffer(64)
    length = pdfium.FPDF_StructElement_GetType(element, room, 64)
    marks = [
        pdfium.FPDF_StructElement_GetMarkedContentIdAtIndex(element, n)
        for n in range(pdfium.FPDF_StructElement_GetMarkedContentIdCount(element))
    ]
    yield depth, room.raw[: length - 2].decode("utf-16-le"), len([mark for mark in marks if mark >= 0])
    for n in range(pdfium.FPDF_StructElement_CountChildren(element)):
        if child := pdfium.FPDF_StructElement_GetChildAtIndex(element, n):
            yield from _read(child, depth + 1)


def test_titles_paragraphs_and_a_table_that_goes_on_are_found_in_their_order() -> None:
    out, table, box = BytesIO(), object(), Box(100, 100, 300, 20)
    pen = TaggedPen(new_pen(out, SHEETS["a4"], title="a", author="b").canvas, SHEETS["a4"])
    with pen.element("H1"):
        pen.words(box, "The week", size=20)
    with pen.element("P"):
        pen.words(box, "one line", size=10)
        pen.words(box, "and another", size=10)
    for _ in range(2):
        with pen.element("Table", table), pen.element("TR"), pen.element("TD"):
            pen.words(box, "a cell", size=10)
        pen.words(box, "Page 1", size=10)
        pen.end_page()
    pen.save()
    first, second = map(list, map(read, pages(out.getvalue())))
    assert first == [(0, "Document", 0), (1, "H1", 1), (1, "P", 2), (1, "Table", 0), (2, "TR", 0), (3, "TD", 1)]
    assert second == [(0, "Document", 0), (1, "Table", 0), (2, "TR", 0), (3, "TD", 1)]
    assert out.getvalue().count(b"/StructParents") == 2

"""A tagged PDF: what each text is and in which order it is read, for those who have it read to them.

Never marks what is no part of the text: lines, bars and page numbers. Tags as in ISO 32000-1, 14.7 and 14.8.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from msgspec import Struct
from reportlab.pdfbase.pdfdoc import PDFArray, PDFDictionary, PDFName

from tickets.kit.box import Box
from tickets.kit.fitting import Fitted
from tickets.kit.fonts import Weight
from tickets.kit.paper import Paper
from tickets.kit.pen import Pen, TagKind


class _Element(Struct):
    """A part of the document: other parts, and texts on pages, in reading order."""

    kind: TagKind
    kids: list["_Element | _Text"]


class _Text(Struct, frozen=True):
    """A text: the number of its page, and its own number on that page."""

    page: int
    mark: int


class TaggedPen(Pen):
    """A pen whose words belong to the element that is open; where none is, they are no part of the text."""

    def __init__(self, canvas: Any, paper: Paper) -> None:
        super().__init__(canvas, paper)
        self._open = [_Element("Document", [])]
        self._known: dict[object, _Element] = {}
        self._marks: list[list[_Element]] = [[]]
        """For each page, the elements of its texts."""

    @contextmanager
    def element(self, kind: TagKind, of: object = None) -> Iterator[None]:
        """All words in here are of that kind; `of` opens again what was opened for the same thing before."""
        found = self._known.get(of) if of is not None else None
        if found is None:
            found = _Element(kind, [])
            self._open[-1].kids.append(found)
            if of is not None:
                self._known[of] = found
        self._open.append(found)
        yield
        self._open.pop()

    def words(self, box: Box, text: str, weight: Weight = "bold", **how: Any) -> Fitted:
        """As those of any pen, and marked as what they are."""
        self.canvas._code.append(self._begin())
        fitted = super().words(box, text, weight, **how)
        self.canvas._code.append("EMC")
        return fitted

    def _begin(self) -> str:
        if len(self._open) == 1:
            return "/Artifact BMC"
        element, marks = self._open[-1], self._marks[-1]
        element.kids.append(_Text(len(self._marks) - 1, len(marks)))
        marks.append(element)
        return f"/{element.kind} <</MCID {len(marks) - 1}>> BDC"

    def end_page(self) -> None:
        """Go on on the next page."""
        self.canvas.showPage()
        page = self.canvas._doc.Pages.pages[-1]
        page.__NoDefault__ = [*page.__NoDefault__, "StructParents", "Tabs"]
        page.StructParents, page.Tabs = len(self._marks) - 1, PDFName("S")
        self._marks.append([])

    def save(self) -> None:
        """Write the document, with all that is known of its texts."""
        document = self.canvas._doc
        root = PDFDictionary({"Type": PDFName("StructTreeRoot")})
        reference = document.Reference(root)
        entries: dict[int, Any] = {}
        root.dict["K"] = PDFArray([self._written(self._open[0], reference, entries)])
        pages = [PDFArray([entries[id(each)] for each in marks]) for marks in self._marks[:-1]]
        numbers = [each for n, page in enumerate(pages) for each in (n, document.Reference(page))]
        root.dict["ParentTree"] = document.Reference(PDFDictionary({"Nums": PDFArray(numbers)}))
        document._catalog.StructTreeRoot = reference
        document._catalog.MarkInfo = PDFDictionary({"Marked": "true"})
        self.canvas.save()

    def _written(self, element: _Element, parent: Any, entries: dict[int, Any]) -> Any:
        """A reference to an element and all in it, as objects of the file."""
        document = self.canvas._doc
        entry = PDFDictionary({"Type": PDFName("StructElem"), "S": PDFName(element.kind), "P": parent})
        reference = entries[id(element)] = document.Reference(entry)
        kids = [
            self._text(kid) if isinstance(kid, _Text) else self._written(kid, reference, entries)
            for kid in element.kids
        ]
        entry.dict["K"] = PDFArray(kids)
        return reference

    def _text(self, text: _Text) -> PDFDictionary:
        page = self.canvas._doc.Reference(self.canvas._doc.Pages.pages[text.page])
        return PDFDictionary({"Type": PDFName("MCR"), "Pg": page, "MCID": text.mark})

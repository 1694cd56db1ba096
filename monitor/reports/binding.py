"""Binding parts of a paper: one run of pages, one tree of tags, one list of chapters.

The typesetter keeps all pages of a document in memory; parts of a few supports each are
set one by one, made lean, and joined here. What a screen reader follows (ISO 32000-1,
14.7: the structure tree, and the parent tree from marked content back to it) is joined
with the pages, and the page numbers are laid over them as artefacts.
"""

import io
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import pikepdf
from pikepdf import Array, Dictionary, Name, NumberTree, Object, Pdf

_NUMBER = (
    b"\n/Artifact <</Type /Pagination /Subtype /Footer /Attached [/Bottom]>> BDC\n"
    b"q /Number Do Q\nEMC\n"
)
_MANY_PAGES = re.compile(rb"(<xmpTPg:NPages>)\d+(</xmpTPg:NPages>)")


@dataclass(frozen=True, slots=True)
class Part:
    """Pages that were set together.

    Attributes
    ----------
    chapters : page on which each chapter begins, from 0
    """

    pdf: bytes
    pages: int
    chapters: tuple[int, ...]


def part_of(pdf: bytes) -> Part:
    """A set PDF, packed, without the looks of its table cells.

    The tags of a cell repeat its borders, and name its heads one by one; a head says
    itself that it is one of a column (ISO 14289-1, 7.5), which is enough for a plain
    table and a third of the size.
    """
    with Pdf.open(io.BytesIO(pdf)) as opened:
        for one in opened.objects:
            if isinstance(one, Dictionary):
                _lighten(one)
        if "/IDTree" in opened.Root.StructTreeRoot:
            del opened.Root.StructTreeRoot["/IDTree"]
        numbers = {page.obj.objgen: n for n, page in enumerate(opened.pages)}
        chapters = tuple(numbers[one.Dest[0].objgen] for one in _outline(opened))
        return Part(_saved(opened), len(opened.pages), chapters)


def bound(parts: Sequence[Part], numbers: bytes) -> bytes:
    """One PDF of all parts, in order.

    Parameters
    ----------
    numbers : a sheet for each page that holds its number only
    """
    first, *others = (Pdf.open(io.BytesIO(part.pdf)) for part in parts)
    for other in others:  # their streams are read when the whole is written
        _append(first, other)
    with Pdf.open(io.BytesIO(numbers)) as sheets:
        _number(first, sheets)
        meta = first.Root.Metadata
        many = str(len(first.pages)).encode()
        meta.write(_MANY_PAGES.sub(rb"\g<1>" + many + rb"\2", meta.read_bytes()))
        return _saved(first)


def _lighten(one: Dictionary) -> None:
    if one.get("/Type") != Name.StructElem:
        return
    if one.get("/S") == Name.TD and "/A" in one:
        del one["/A"]
    if one.get("/S") == Name.TH:
        one.A = Array([Dictionary(O=Name.Table, Scope=Name.Column)])
        if "/ID" in one:
            del one["/ID"]


def _append(whole: Pdf, other: Pdf) -> None:
    tags = whole.Root.StructTreeRoot
    shift = int(tags.ParentTreeNextKey)
    for page in other.pages:
        page.obj.StructParents = int(page.obj.StructParents) + shift
    whole.pages.extend(other.pages)
    _append_tags(tags, whole.copy_foreign(other.Root.StructTreeRoot), shift)
    _append_outline(whole.Root.Outlines, whole.copy_foreign(other.Root.Outlines))


def _append_tags(tags: Object, more: Object, shift: int) -> None:
    document = tags.K[0]
    for child in more.K[0].K:
        child.P = document
        document.K.append(child)
    held = NumberTree(tags.ParentTree)
    for key, parents in NumberTree(more.ParentTree).items():
        held[key + shift] = parents
    tags.ParentTreeNextKey = shift + int(more.ParentTreeNextKey)
    for name, plain in more.get("/RoleMap", Dictionary()).items():
        tags.RoleMap[name] = plain


def _append_outline(chapters: Object, more: Object) -> None:
    for item in _chain(more.First):
        item.Parent = chapters
    chapters.Last.Next, more.First.Prev = more.First, chapters.Last
    chapters.Last = more.Last
    chapters.Count = int(chapters.Count) + int(more.Count)


def _number(whole: Pdf, sheets: Pdf) -> None:
    for page, sheet in zip(whole.pages, sheets.pages, strict=True):
        form = whole.copy_foreign(sheet.as_form_xobject())
        page.add_resource(form, Name.XObject, Name.Number)
        page.contents_add(_NUMBER)


def _outline(opened: Pdf) -> Iterator[Object]:
    return _chain(opened.Root.Outlines.First)


def _chain(item: Object | None) -> Iterator[Object]:
    while item is not None:
        yield item
        item = item.get("/Next")


def _saved(whole: Pdf) -> bytes:
    """The bytes, the same for the same content."""
    held = io.BytesIO()
    whole.save(
        held,
        object_stream_mode=pikepdf.ObjectStreamMode.generate,
        deterministic_id=True,
        fix_metadata_version=False,
    )
    return held.getvalue()

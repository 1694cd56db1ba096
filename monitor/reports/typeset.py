"""Setting a paper: the blocks go out as data, the template sets them.

The result depends on the paper alone: same blocks, same bytes, on any machine. It is a
tagged PDF for screen readers (PDF/UA-1) that also keeps for decades (PDF/A-2a). A long
paper is set in parts, because setting keeps the whole in memory; `binding` joins them.
"""

import json
import shutil
import tempfile
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import asdict, replace
from datetime import date
from pathlib import Path
from typing import Any, cast

import typst

from monitor.errors import MonitorError
from monitor.reports.blocks import (
    Block,
    Chapter,
    Paper,
    Pictures,
    Size,
    Voice,
    Words,
    texts_of,
    with_texts,
)
from monitor.reports.letters import face_file, not_held, spelt

STANDARDS: Any = ["a-2a", "ua-1"]
_TEMPLATE = Path(__file__).parent / "templates" / "paper.typ"
_NAMED = 12


class PaperPress:
    """A folder with the template and the faces; sets one paper after the other.

    Made once for many papers: reading the faces takes longer than a short paper.
    """

    def __init__(self, folder: Path) -> None:
        self._folder = folder
        faces = folder / "faces"
        faces.mkdir()
        for name in ("DejaVuSans.ttf", "DejaVuSans-Bold.ttf"):
            shutil.copy(face_file().with_name(name), faces)
        shutil.copy(_TEMPLATE, folder)
        self._compiler = typst.Compiler(
            root=str(folder), font_paths=[str(faces)], ignore_system_fonts=True
        )

    def set(self, paper: Paper) -> bytes:
        """The bytes of the PDF.

        Raises
        ------
        MonitorError : it can not be set, which is a mistake of ours
        """
        pictures = self._folder / "pictures"
        pictures.mkdir()
        try:
            return self._compiled(_as_data(_with_note(paper), pictures))
        finally:
            shutil.rmtree(pictures)

    def numbers(self, size: Size, many: int) -> bytes:
        """As many sheets that hold nothing but their numbers."""
        sheets = Paper("Numbers", "", date(2000, 1, 1), (), size)
        return self._compiled(_head(sheets) | {"numbers": many, "chapters": []})

    def _compiled(self, data: dict[str, Any]) -> bytes:
        target = self._folder / "paper.json"
        target.write_text(json.dumps(data, ensure_ascii=False), encoding="utf-8")
        try:
            done = self._compiler.compile(
                input=str(self._folder / _TEMPLATE.name),
                format="pdf",
                pdf_standards=STANDARDS,
            )
        except typst.TypstError as error:
            raise MonitorError(
                f"The paper “{data['title'][:80]}” can not be set: {error}.",
                code="pap-001",
            ) from error
        return cast(bytes, done)  # a PDF is one file


@contextmanager
def press() -> Iterator[PaperPress]:
    """A press in a folder of its own, gone afterwards."""
    with tempfile.TemporaryDirectory(prefix="underprop-paper-") as name:
        yield PaperPress(Path(name))


def typeset(paper: Paper) -> bytes:
    """The bytes of one paper."""
    with press() as at_hand:
        return at_hand.set(paper)


def _with_note(paper: Paper) -> Paper:
    """Every letter spelt so that it can be set; at the end, which could not."""
    said = with_texts(paper, spelt)
    odd = not_held(texts_of(paper))
    if not odd:
        return said
    named = ", ".join(dict.fromkeys(spelt(letter) for letter in odd[:_NAMED]))
    more = f" and {len(odd) - _NAMED} more" if len(odd) > _NAMED else ""
    note = Words(
        f"The faces of this paper have no letter for {named}{more}; they stand in "
        "brackets by name or number. The record keeps them as they were written.",
        Voice.QUIET,
    )
    return replace(said, blocks=(*said.blocks, note))


def _head(paper: Paper) -> dict[str, Any]:
    return {
        "title": paper.title,
        "author": paper.author,
        "lang": paper.lang,
        "size": paper.size.value,
        "year": paper.on.year,
        "month": paper.on.month,
        "day": paper.on.day,
        "is_part": paper.is_part,
        "numbers": 0,
    }


def _as_data(paper: Paper, pictures: Path) -> dict[str, Any]:
    return {
        **_head(paper),
        "chapters": [
            {
                "chapter": asdict(chapter),
                "blocks": [_block(b, pictures) for b in blocks],
            }
            for chapter, blocks in _chapters(paper.blocks)
        ],
    }


def _chapters(blocks: Sequence[Block]) -> Iterator[tuple[Chapter, list[Block]]]:
    chapter, held = None, list[Block]()
    for block in blocks:
        if isinstance(block, Chapter):
            if chapter is not None:
                yield chapter, held
            chapter, held = block, []
        else:
            held.append(block)
    if chapter is None:
        raise ValueError("A paper begins with a chapter.")
    yield chapter, held


def _block(block: Block, pictures: Path) -> dict[str, Any]:
    kind = {"kind": type(block).__name__}
    if not isinstance(block, Pictures):
        return kind | asdict(block)
    items = []
    for one in block.items:
        target = pictures / f"{len(list(pictures.iterdir())):06}.jpg"
        target.write_bytes(one.jpeg)
        place = f"pictures/{target.name}"
        items.append({"file": place, "alt": one.alt, "caption": one.caption})
    return kind | {"items": items}

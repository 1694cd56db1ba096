"""What a module says of itself, read from its text: nothing is imported or run."""

import ast
import re
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.resources import files

_REFERENCES = re.compile(r"\n\s*References\n\s*-{3,}\n", re.MULTILINE)
_SECTION = re.compile(r"\n\s*[A-Z]\w+\n\s*-{3,}\n", re.MULTILINE)
_NUMBERED = re.compile(r"^\.\. \[\d+\] ", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class Told:
    """A module or a function in its own words.

    Attributes
    ----------
    name : as the code has it
    first : first sentence or line
    rest : what follows, before any list of parameters; paragraphs
    sources : published sources, or that there is none
    """

    name: str
    first: str
    rest: tuple[str, ...]
    sources: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ToldModule:
    """A module and its public functions."""

    told: Told
    functions: tuple[Told, ...]


def modules_of(package: str) -> tuple[ToldModule, ...]:
    """Every module of a package, by name; benches are left out."""
    found = [
        (entry.name.removesuffix(".py"), entry.read_text("utf-8"))
        for entry in files(package).iterdir()
        if entry.name.endswith(".py") and entry.name not in {"__init__.py", "bench.py"}
    ]
    return tuple(_module(name, text) for name, text in sorted(found))


def told(name: str, docstring: str) -> Told:
    """A docstring taken apart.

    Examples
    --------
    >>> told("drop", "Return a drop. [mm]")
    Told(name='drop', first='Return a drop. [mm]', rest=(), sources=())
    """
    words, *after = _REFERENCES.split(docstring)
    paragraphs = [_flat(part) for part in _SECTION.split(words)[0].split("\n\n")]
    first, *rest = [part for part in paragraphs if part] or [""]
    text = _SECTION.split(after[0])[0] if after else ""
    sources = tuple(_flat(part) for part in _NUMBERED.split(text) if part.strip())
    return Told(name, first, tuple(rest), sources)


def _module(name: str, text: str) -> ToldModule:
    tree = ast.parse(text)
    return ToldModule(
        told(name, ast.get_docstring(tree) or ""), tuple(_functions(tree.body))
    )


def _functions(body: list[ast.stmt]) -> Iterator[Told]:
    for node in body:
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            yield told(node.name, ast.get_docstring(node) or "")


def _flat(text: str) -> str:
    return " ".join(text.split())

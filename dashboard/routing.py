"""From an address to the page that answers it."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from urllib.parse import parse_qs, unquote


@dataclass(frozen=True)
class Route:
    """A page and its address, with `<name>` for the parts that vary."""

    name: str
    path: str

    @cached_property
    def pattern(self) -> re.Pattern[str]:
        """What a matching address looks like."""
        parts = re.split(r"<(\w+)>", self.path)
        literal = [re.escape(part) for part in parts[::2]]
        names = [f"(?P<{name}>[^/]+)" for name in parts[1::2]] + [""]
        text = "".join(a + b for a, b in zip(literal, names, strict=True))
        return re.compile(text)


def find_route(routes: Sequence[Route], path: str) -> tuple[str, dict[str, str]] | None:
    """Name of the page and the parts of its address, or None.

    Examples
    --------
    >>> find_route([Route("support", "/supports/<code>")], "/supports/S%2D0142")
    ('support', {'code': 'S-0142'})
    """
    plain = path.rstrip("/") or "/"
    for route in routes:
        match = route.pattern.fullmatch(plain)
        if match:
            return route.name, {k: unquote(v) for k, v in match.groupdict().items()}
    return None


def query_of(search: str, names: Sequence[str]) -> dict[str, str]:
    """The named values of a query string; what a page does not know is left out."""
    given = parse_qs(search.lstrip("?"))
    return {name: given[name][0] for name in names if name in given}

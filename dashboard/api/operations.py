"""One operation of the API: its address, what it takes, answers and is called."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, TypeVar

from flask_smorest import Blueprint  # type: ignore[import-untyped]
from marshmallow import Schema

F = TypeVar("F", bound=Callable[..., object])


@dataclass(frozen=True, slots=True)
class Operation:
    """What the description says of an operation.

    Attributes
    ----------
    asked : schema of the query, None if nothing can be asked
    answer : schema of the answer
    more : other parts of the description, such as the body
    """

    name: str
    path: str
    summary: str
    answer: type[Schema]
    method: str = "GET"
    status: int = 200
    asked: type[Schema] | None = None
    more: Mapping[str, Any] = field(default_factory=dict)


def adds(api: Blueprint, what: Operation) -> Callable[[F], F]:
    """Have a function answer the operation; typed, as the library is not."""

    def add(answered: F) -> F:
        view: Any = api.response(what.status, what.answer)(answered)
        if what.asked is not None:
            view = api.arguments(what.asked, location="query")(view)
        view = api.doc(operationId=what.name, summary=what.summary, **what.more)(view)
        api.route(what.path, endpoint=what.name, methods=[what.method])(view)
        return answered

    return add

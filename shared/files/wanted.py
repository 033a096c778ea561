"""What is wanted at one place of a file: taken from the annotations of a pydantic model, step by step of a key path.

Never says it in words: that is shared.files.allowed.
"""

from collections.abc import Iterable, Mapping, Sequence, Set
from datetime import date, datetime, time
from decimal import Decimal
from types import NoneType, UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from msgspec import Struct
from pydantic import BaseModel
from pydantic.fields import FieldInfo

LIMITS = ("ge", "gt", "le", "lt", "multiple_of", "max_digits", "decimal_places", "min_length", "max_length", "pattern")

WantedKind = Literal[
    "whole", "number", "text", "flag", "date", "moment", "time", "choice", "list", "table", "either", "other"
]
_KINDS: tuple[tuple[type, WantedKind], ...] = (
    (bool, "flag"),
    (int, "whole"),
    (float, "number"),
    (Decimal, "number"),
    (str, "text"),
    (datetime, "moment"),
    (date, "date"),
    (time, "time"),
    (BaseModel, "table"),
    (Mapping, "table"),
    (Sequence, "list"),
    (Set, "list"),
)
"""The first that fits: a bool is an int, a datetime is a date, and text is a sequence, to Python."""


class Wanted(Struct, frozen=True, kw_only=True):
    """A type without None and wrapping, the limits set on it, the key it stands under, its default."""

    type: Any
    limits: Mapping[str, Any] = {}
    key: str = ""
    default: Any = None

    @property
    def kind(self) -> WantedKind:
        """What a shop owner would call it."""
        origin = get_origin(self.type) or self.type
        if origin in (Union, UnionType):
            return "either"
        if origin is Literal:
            return "choice"
        fits = (kind for known, kind in _KINDS if isinstance(origin, type) and issubclass(origin, known))
        return next(fits, "other")

    @property
    def model(self) -> type[BaseModel] | None:
        """The model of a table whose keys are given."""
        fits = self.kind == "table" and isinstance(self.type, type) and issubclass(self.type, BaseModel)
        return self.type if fits else None

    @property
    def parts(self) -> "list[Wanted]":
        """The branches of an either, the entries of a list, the key and the value of a table."""
        return [wanted(part, key=self.key) for part in get_args(self.type) if part not in (NoneType, ...)]

    def step(self, part: str | int) -> "Wanted":
        """What is wanted one step further down the path; anything, where the model does not say."""
        if self.model is not None:
            return _field(self.model, str(part))
        parts = self.parts
        if self.kind == "list" and isinstance(part, int) and parts:
            return parts[min(part, len(parts) - 1)]
        return parts[1] if self.kind == "table" and len(parts) == 2 else ANYTHING

    def branch(self, label: str) -> "Wanted":
        """The branch of an either that pydantic calls by that label; anything, where it is none of them."""
        return next((each for each in self.parts if getattr(each.type, "__name__", "") == label), ANYTHING)


ANYTHING = Wanted(type=Any)


def wanted(annotation: Any, metadata: Iterable[Any] = (), key: str = "", default: Any = None) -> Wanted:
    """What an annotation wants, taken out of Annotated[…] and … | None."""
    if get_origin(annotation) is Annotated:
        inner, *more = get_args(annotation)
        return wanted(inner, [*more, *metadata], key, default)
    if get_origin(annotation) in (Union, UnionType):
        branches = [branch for branch in get_args(annotation) if branch is not NoneType]
        if len(branches) == 1:
            return wanted(branches[0], metadata, key, default)
    return Wanted(type=annotation, limits=_limits(metadata), key=key, default=default)


def keys_of(model: type[BaseModel]) -> list[str]:
    """The keys of a table, as they are written."""
    return [field.alias or name for name, field in model.model_fields.items()]


def _field(model: type[BaseModel], key: str) -> Wanted:
    for name, field in model.model_fields.items():
        if key == (field.alias or name):
            return wanted(field.annotation, field.metadata, key, None if field.is_required() else field.default)
    return ANYTHING


def _limits(metadata: Iterable[Any]) -> dict[str, Any]:
    limits: dict[str, Any] = {}
    for each in metadata:
        if isinstance(each, FieldInfo):
            limits |= _limits(each.metadata)
        limits |= {name: value for name in LIMITS if (value := getattr(each, name, None)) is not None}
    return limits

"""Frozen nouns to plain JSON values and back, strictly, by their type hints.

Nothing is pickled: a file can only ever name fields of the nouns that were
asked for, and every value is held to its type.
"""

import base64
import binascii
import dataclasses
import math
from collections.abc import Mapping
from datetime import datetime
from enum import Enum
from functools import cache
from operator import index
from types import NoneType, UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

from planner.errors import SavedWorkError

Json = None | bool | int | float | str | list[Any] | dict[str, Any]
"""A value as the json module writes and reads it."""


def to_json(value: object) -> Json:
    """Give a noun, or a tuple of nouns, as JSON values.

    Bytes become base64, moments ISO 8601, members of an enum their value.
    Raises ``TypeError`` for anything that is not a noun of this program.
    """
    if isinstance(value, Enum):
        return to_json(value.value)
    if value is None or isinstance(value, (bool, str)):
        return value
    if isinstance(value, float):
        return float(value)
    if isinstance(value, bytes):
        return base64.b64encode(value).decode("ascii")
    if isinstance(value, datetime):
        return value.isoformat()
    if isinstance(value, tuple):
        return [to_json(one) for one in value]
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {name: to_json(getattr(value, name)) for name in _hints(type(value))}
    return index(value)  # type: ignore[arg-type]  # raises TypeError when it is none


def from_json(kind: Any, value: Json) -> Any:
    """Give back the noun of a kind that :func:`to_json` made JSON of.

    Raises
    ------
    SavedWorkError
        The values do not fit the kind: another version, or a damaged file.
    """
    try:
        return _read(kind, value)
    except (TypeError, ValueError, binascii.Error, RecursionError) as fault:
        msg = f"a saved value does not fit: {fault}"
        raise SavedWorkError(msg) from fault


def _read(kind: Any, value: Json) -> Any:
    origin = get_origin(kind)
    if origin in (Union, UnionType):
        return _read_union(get_args(kind), value)
    if origin is tuple:
        return _read_tuple(get_args(kind), value)
    if dataclasses.is_dataclass(kind) and isinstance(kind, type):
        return _read_noun(kind, value)
    return _read_plain(kind, value)


def _read_union(kinds: tuple[Any, ...], value: Json) -> Any:
    if value is None and NoneType in kinds:
        return None
    (kind,) = [one for one in kinds if one is not NoneType]
    return _read(kind, value)


def _read_tuple(kinds: tuple[Any, ...], value: Json) -> Any:
    if not isinstance(value, list):
        raise _misfit("a list", value)
    if len(kinds) == 2 and kinds[1] is Ellipsis:
        return tuple(_read(kinds[0], one) for one in value)
    if len(kinds) != len(value):
        raise _misfit(f"{len(kinds)} values", value)
    return tuple(_read(kind, one) for kind, one in zip(kinds, value, strict=True))


def _read_noun(kind: Any, value: Json) -> Any:
    if not isinstance(value, dict):
        raise _misfit(kind.__name__, value)
    hints = _hints(kind)
    unknown = sorted(set(value) - set(hints))
    if unknown:
        msg = f"{kind.__name__} has no {', '.join(unknown)}"
        raise ValueError(msg)
    return kind(**{name: _read(hints[name], one) for name, one in value.items()})


def _read_plain(kind: Any, value: Json) -> Any:
    if isinstance(kind, type) and issubclass(kind, Enum):
        return kind(value)
    if kind in (str, bool) and isinstance(value, kind):
        return value
    if kind is int and isinstance(value, int) and not isinstance(value, bool):
        return value
    if kind is float and isinstance(value, (int, float)) and not math.isnan(value):
        return float(value)
    if kind is bytes and isinstance(value, str):
        return base64.b64decode(value, validate=True)
    if kind is datetime and isinstance(value, str):
        return datetime.fromisoformat(value)
    raise _misfit(getattr(kind, "__name__", str(kind)), value)


def _misfit(wanted: str, value: Json) -> ValueError:
    return ValueError(f"{wanted} was expected, not {type(value).__name__}")


@cache
def _hints(kind: type) -> Mapping[str, Any]:
    """Fields of a noun with their types, in their order."""
    hints = get_type_hints(kind)
    return {one.name: hints[one.name] for one in dataclasses.fields(kind)}

"""Reading JSON strictly, and saying in plain words what is wrong with it and where."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from typing import Any, NamedTuple

from pydantic import ValidationError

from .errors import PartError, Problem, SetupError
from .language import later, now, say
from .wording import field_length, fixed, given, typeset

LARGEST_TEXT = 1024 * 1024
DEEPEST = 40


class _Object(dict[str, Any]):
    """A JSON object that remembers keys given twice."""

    twice: tuple[str, ...] = ()


def _object(pairs: list[tuple[str, Any]]) -> _Object:
    result = _Object(pairs)
    if len(result) < len(pairs):
        keys = [key for key, _ in pairs]
        result.twice = tuple(sorted({key for key in keys if keys.count(key) > 1}))
    return result


def parse(text: str | bytes) -> Any:
    """JSON text to plain data: no duplicate keys, no NaN or infinity, at most 1 MiB, not nested too deep.

    Raises
    ------
    SetupError
    """
    size = len(text) if isinstance(text, bytes) else len(text.encode("utf-8", "surrogatepass"))
    if size > LARGEST_TEXT:
        mib = fixed(size / 1024 / 1024)
        raise _refused(say("the document is {mib} MiB large; a setup is at most 1 MiB", mib=mib))
    try:
        decoded = text.decode("utf-8") if isinstance(text, bytes) else text
        # Some editors put a mark of the byte order in front of what they save as UTF-8.
        data = json.loads(decoded.removeprefix("\ufeff"), object_pairs_hook=_object)
    except UnicodeDecodeError:
        raise _refused(say("the document is not UTF-8 text; save it as UTF-8")) from None
    except json.JSONDecodeError as error:
        fault, line, column = say(error.msg), error.lineno, error.colno
        told = say(
            "the document is not JSON: {fault} at line {line}, column {column}", fault=fault, line=line, column=column
        )
        raise _refused(told) from None
    except (RecursionError, ValueError):
        raise _refused(say("the document is nested too deep or holds a number too long to read")) from None
    problems = list(_faults(data, "", 0))
    if problems:
        raise SetupError(problems)
    if not isinstance(data, dict):
        raise _refused(say("the document is {kind}; a setup is an object with the keys of schema 1", kind=_kind(data)))
    return data


def _refused(text: str) -> SetupError:
    return SetupError([Problem("", text, whole=True)])


_NOT_JSON = (
    later("Expecting value"),
    later("Expecting property name enclosed in double quotes"),
    later("Expecting ':' delimiter"),
    later("Expecting ',' delimiter"),
    later("Illegal trailing comma before end of object"),
    later("Illegal trailing comma before end of array"),
    later("Extra data"),
    later("Unterminated string starting at"),
    later("Invalid control character at"),
    later("Invalid \\escape"),
    later("Invalid \\uXXXX escape"),
)
"""What Python's reader of JSON says, so that it is translated too."""


def _faults(value: Any, path: str, depth: int) -> Iterator[Problem]:
    if depth > DEEPEST:
        yield Problem(path, say("nested too deep for a setup document"), whole=True)
    elif isinstance(value, _Object):
        for key in value.twice:
            yield Problem(_join(path, key), say("is given twice; give it once"))
        for key, inner in value.items():
            yield from _faults(inner, _join(path, key), depth + 1)
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from _faults(inner, f"{path}[{index}]", depth + 1)
    elif isinstance(value, float) and not math.isfinite(value):
        yield Problem(path, say("is not a finite number (NaN or infinity); give a number"))
    elif isinstance(value, int) and abs(value) > 2**53 - 1:
        yield Problem(path, say("is too large a whole number; give a number of ordinary size"))
    elif isinstance(value, str) and any(0xD800 <= ord(mark) <= 0xDFFF for mark in value):
        yield Problem(path, say("holds half a character (a lone surrogate); give plain text"))


def _join(path: str, key: str) -> str:
    shown = key if key.isprintable() and len(key) <= 60 else json.dumps(key[:60])
    return f"{path}.{shown}" if path else shown


class _Fault(NamedTuple):
    """A fault in words; where several sentences say what was given, `wanted` is what each would take."""

    path: str
    text: str
    given: str = ""
    wanted: str = ""


def problems_of(error: ValidationError) -> tuple[Problem, ...]:
    """Every fault that pydantic found, in our words."""
    found: list[_Fault] = []
    for detail in error.errors(include_url=False):
        cause = detail.get("ctx", {}).get("error")
        path = _path(detail["loc"])
        if isinstance(cause, SetupError):
            found.extend(_Fault(_prefix(path, inner.path), inner.text) for inner in cause.problems)
        else:
            found.append(_fault(path, detail))
    return _one_a_place(found)


def _one_a_place(found: list[_Fault]) -> tuple[Problem, ...]:
    """A value that may be of several kinds fails each of them: one sentence, with what each would take."""
    places: dict[str, list[_Fault]] = {}
    for fault in found:
        places.setdefault(fault.path, []).append(fault)
    merged: list[Problem] = []
    for path, faults in places.items():
        if len(faults) > 1 and all(one.wanted and one.given == faults[0].given for one in faults):
            wanted = list(dict.fromkeys(one.wanted for one in faults))
            while len(wanted) > 1:
                wanted[:2] = [say("{one}, or {other}", one=wanted[0], other=wanted[1])]
            merged.append(Problem(path, _give(faults[0].given, wanted[0])))
        else:
            merged.extend(Problem(path, text) for text in dict.fromkeys(one.text for one in faults))
    return tuple(merged)


def _give(given: str, wanted: str) -> str:
    return say("is {given}; give {wanted}", given=given, wanted=wanted)


_LINKAGE_KINDS = {"measured", "four_bar", "unmeasured"}
_UNION_BRANCHES = ("literal[", "float", "constrained-", "function-", "tuple[", "dict[", "nullable")


def _path(place: tuple[int | str, ...]) -> str:
    path = ""
    for position, step in enumerate(place):
        if isinstance(step, int):
            path += f"[{step}]"
        elif not _is_branch(step, place[position - 1] if position else None):
            path = _join(path, step)
    return path


def _is_branch(step: str, before: int | str | None) -> bool:
    """Whether a step only says which branch of a union was tried, and is no part of the document."""
    return (step in _LINKAGE_KINDS and before == "linkage") or step.startswith(_UNION_BRANCHES) or step == "[key]"


def _prefix(path: str, inner: str) -> str:
    if not path or not inner:
        return path or inner
    return path + inner if inner.startswith("[") else f"{path}.{inner}"


_FLAT = {
    "extra_forbidden": later("is not a key of schema 1; remove it or correct its spelling"),
    "missing": later("is missing; it must be given"),
    "union_tag_not_found": later("has no kind; give measured, four_bar or unmeasured"),
}
_WANTED = {
    "float_type": later("a number"),
    "int_type": later("a whole number"),
    "int_from_float": later("a whole number"),
    "bool_type": later("true or false"),
    "string_type": later("a text"),
    "tuple_type": later("a list"),
    "dict_type": later("an object"),
    "model_type": later("an object"),
    "model_attributes_type": later("an object"),
    "finite_number": later("a finite number"),
    "string_pattern_mismatch": later("a key: small letters, figures and _, a letter first, at most 40"),
    "string_too_long": later("at most {max_length} characters"),
    "greater_than_equal": later("at least {ge}"),
    "greater_than": later("above {gt}"),
    "less_than_equal": later("at most {le}"),
    "less_than": later("below {lt}"),
    "literal_error": "{expected}",
    "union_tag_invalid": "{expected_tags}",
    "too_short": later("at least {min_length} entries"),
    "too_long": later("at most {max_length} entries"),
}
_COUNTED = {
    "too_short": later("holds {actual_length}; give at least {min_length}"),
    "too_long": later("holds {actual_length}; give at most {max_length}"),
}


def _fault(path: str, detail: Any) -> _Fault:
    """One sentence: what was given, what to give."""
    kind, context, given_value = detail["type"], detail.get("ctx", {}), detail["input"]
    if kind in _FLAT:
        return _Fault(path, say(_FLAT[kind]))
    if "error" in context:
        cause = context["error"]
        told = str(cause) if isinstance(cause, PartError) else say("is refused: {reason}", reason=str(cause))
        return _Fault(path, told)
    in_mm = path.rpartition(".")[2].partition("[")[0].endswith("_mm")
    shown = _shown(context.get("tag", given_value), in_mm=in_mm)
    if kind in _COUNTED and context.get("actual_length") is not None:
        return _Fault(path, say(_COUNTED[kind], **context))
    if kind in ("too_short", "too_long"):
        shown = say("{kind} of more", kind=_kind(given_value))
    if kind in _WANTED:
        wanted = say(_WANTED[kind], **_figures(context, in_mm=in_mm))
        return _Fault(path, _give(shown, wanted), shown, wanted)
    message = detail["msg"]
    return _Fault(path, say("is {given}: {message}", given=shown, message=f"{message[:1].lower()}{message[1:]}"))


def _figures(context: dict[str, Any], *, in_mm: bool) -> dict[str, Any]:
    """What pydantic says of a limit, put for the reader."""
    words = field_length if in_mm else given
    limits = ("ge", "gt", "le", "lt")
    return {name: words(value) if name in limits else _choice(name, value) for name, value in context.items()}


def _choice(name: str, value: Any) -> Any:
    """The values that pydantic says it would take, with our word before the last."""
    some, joined, last = str(value).rpartition(" or ")
    return say("{some} or {last}", some=some, last=last) if name == "expected" and joined else value


def _shown(value: Any, *, in_mm: bool) -> str:
    if value is None or isinstance(value, dict | list | tuple):
        return _kind(value)
    if isinstance(value, int | float) and not isinstance(value, bool):
        return field_length(value) if in_mm and now().inches else typeset(json.dumps(value))
    text = json.dumps(value, ensure_ascii=False, default=str)
    return text if len(text) <= 60 else text[:57] + "..."


_KINDS = {
    dict: later("an object"),
    list: later("a list"),
    tuple: later("a list"),
    str: later("a text"),
    bool: later("true or false"),
    type(None): later("empty"),
}


def _kind(value: Any) -> str:
    return say(next((words for kind, words in _KINDS.items() if isinstance(value, kind)), later("a number")))

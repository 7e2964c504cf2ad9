"""Reading JSON strictly, and saying in plain words what is wrong with it and where."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from typing import Any

from pydantic import ValidationError

from .errors import Problem, SetupError

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
        raise _refused(f"the document is {size / 1024 / 1024:.1f} MiB large; a setup is at most 1 MiB")
    try:
        decoded = text.decode("utf-8") if isinstance(text, bytes) else text
        data = json.loads(decoded, object_pairs_hook=_object)
    except UnicodeDecodeError:
        raise _refused("the document is not UTF-8 text; save it as UTF-8") from None
    except json.JSONDecodeError as error:
        where = f"line {error.lineno}, column {error.colno}"
        raise _refused(f"the document is not JSON: {error.msg} at {where}") from None
    except (RecursionError, ValueError):
        raise _refused("the document is nested too deep or holds a number too long to read") from None
    problems = list(_faults(data, "", 0))
    if problems:
        raise SetupError(problems)
    if not isinstance(data, dict):
        raise _refused(f"the document is {_kind(data)}; a setup is an object with the keys of schema 1")
    return data


def _refused(text: str) -> SetupError:
    return SetupError([Problem("", text)])


def _faults(value: Any, path: str, depth: int) -> Iterator[Problem]:
    if depth > DEEPEST:
        yield Problem(path, "nested too deep for a setup document")
    elif isinstance(value, _Object):
        for key in value.twice:
            yield Problem(_join(path, key), "is given twice; give it once")
        for key, inner in value.items():
            yield from _faults(inner, _join(path, key), depth + 1)
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from _faults(inner, f"{path}[{index}]", depth + 1)
    elif isinstance(value, float) and not math.isfinite(value):
        yield Problem(path, "is not a finite number (NaN or infinity); give a number")
    elif isinstance(value, int) and abs(value) > 2**53 - 1:
        yield Problem(path, "is too large a whole number; give a number of ordinary size")
    elif isinstance(value, str) and any(0xD800 <= ord(mark) <= 0xDFFF for mark in value):
        yield Problem(path, "holds half a character (a lone surrogate); give plain text")


def _join(path: str, key: str) -> str:
    shown = key if key.isprintable() and len(key) <= 60 else json.dumps(key[:60])
    return f"{path}.{shown}" if path else shown


def problems_of(error: ValidationError) -> tuple[Problem, ...]:
    """Every fault that pydantic found, in our words."""
    found: list[Problem] = []
    for detail in error.errors(include_url=False):
        cause = detail.get("ctx", {}).get("error")
        path = _path(detail["loc"])
        if isinstance(cause, SetupError):
            found.extend(Problem(_prefix(path, inner.path), inner.text) for inner in cause.problems)
        else:
            found.append(Problem(path, _words(detail["type"], detail.get("ctx", {}), detail["msg"], detail["input"])))
    return _one_a_place(found)


def _one_a_place(found: list[Problem]) -> tuple[Problem, ...]:
    """A value that may be of several kinds fails each of them: one sentence, with what each would take."""
    texts: dict[str, list[str]] = {}
    for problem in found:
        texts.setdefault(problem.path, []).append(problem.text)
    merged: list[Problem] = []
    for path, sentences in texts.items():
        heads = {sentence.partition("; give ")[0] for sentence in sentences}
        if len(sentences) > 1 and len(heads) == 1 and all("; give " in sentence for sentence in sentences):
            choices = dict.fromkeys(sentence.partition("; give ")[2] for sentence in sentences)
            merged.append(Problem(path, f"{heads.pop()}; give {', or '.join(choices)}"))
        else:
            merged.extend(Problem(path, sentence) for sentence in dict.fromkeys(sentences))
    return tuple(merged)


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
    "extra_forbidden": "is not a key of schema 1; remove it or correct its spelling",
    "missing": "is missing; it must be given",
    "union_tag_not_found": "has no kind; give measured, four_bar or unmeasured",
}
_WANTED = {
    "float_type": "a number",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "bool_type": "true or false",
    "string_type": "a text",
    "tuple_type": "a list",
    "dict_type": "an object",
    "model_type": "an object",
    "model_attributes_type": "an object",
    "finite_number": "a finite number",
    "string_pattern_mismatch": "a key: small letters, figures and _, a letter first, at most 40",
    "string_too_long": "at most {max_length} characters",
    "greater_than_equal": "at least {ge:g}",
    "greater_than": "above {gt:g}",
    "less_than_equal": "at most {le:g}",
    "less_than": "below {lt:g}",
    "literal_error": "{expected}",
    "union_tag_invalid": "{expected_tags}",
    "too_short": "at least {min_length} entries",
    "too_long": "at most {max_length} entries",
}


def _words(kind: str, context: dict[str, Any], message: str, given: Any) -> str:
    """One sentence: what was given, what to give."""
    if kind in _FLAT:
        return _FLAT[kind]
    if "error" in context:
        text = str(context["error"])
        return text if text.startswith(("has ", "is ", "holds ")) else f"is refused: {text}"
    shown = _shown(context.get("tag", given))
    if kind in ("too_short", "too_long"):
        length = context.get("actual_length")
        shown = f"{_kind(given)} of {'more' if length is None else length}"
    if kind in _WANTED:
        return f"is {shown}; give {_WANTED[kind].format(**context)}"
    return f"is {shown}: {message[:1].lower()}{message[1:]}"


def _shown(given: Any) -> str:
    if isinstance(given, dict | list | tuple):
        return _kind(given)
    text = json.dumps(given, ensure_ascii=False, default=str)
    return text if len(text) <= 60 else text[:57] + "..."


def _kind(value: Any) -> str:
    kinds = {
        dict: "an object",
        list: "a list",
        tuple: "a list",
        str: "a text",
        bool: "true or false",
        type(None): "null",
    }
    return next((words for kind, words in kinds.items() if isinstance(value, kind)), "a number")

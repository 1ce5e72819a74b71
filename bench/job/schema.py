"""JSON Schemas of the files that people write, for editors that complete and check while somebody types."""

from __future__ import annotations

import inspect
import json
import re
from typing import Any

from pydantic import BaseModel
from pydantic.json_schema import models_json_schema

from bench.job.bench_file import BenchFile
from bench.job.model import Job
from bench.job.procedure_file import ProcedureFile
from bench.job.profiles import known, load_table
from bench.quantities import Dimension, show

__all__ = ["SCHEMAS", "schema_of"]

_DIALECT = "https://json-schema.org/draft/2020-12/schema"
_MODELS: dict[str, type[BaseModel]] = {"job": Job, "bench": BenchFile, "procedure": ProcedureFile}
SCHEMAS = (*_MODELS, "rules")
"""The kinds of files that there is a schema of."""

# `turns: as counted;  taps: where leads come out`, as docstrings have it.
_KEYS = re.compile(r"(?:^|(?<=[;.])\s+)((?:[a-z_]+, )*[a-z_]+):\s+")


def schema_of(kind: str) -> dict[str, Any]:
    """JSON Schema, draft 2020-12, of one kind of file; raises KeyError.

    It accepts what `check` accepts, but for text where a number or true and false are due, and blanks about a name. It
    rejects keys that are not known, keys that are missing, values of another kind and text that is no quantity of the
    kind that is due. What hangs together (names that must be there, turns that must add up) only `check` knows.
    """
    if kind == "rules":
        return {**_head(kind), "title": _first_sentence(_RULES), "description": _RULES, **_rules()}
    model = _MODELS[kind]
    _, whole = models_json_schema([(model, "validation")])
    definitions = whole["$defs"]
    for one in _models_in(model):
        if one.__name__ in definitions:  # those that are written as text have none
            _explain(one, definitions[one.__name__])
    _suggest_names(definitions)
    root, shared = definitions.pop(model.__name__), dict[str, Any]()
    tidied = _tidied({"root": root, "$defs": definitions}, shared)
    named = {**tidied["$defs"], **shared}
    text = json.dumps(tidied)
    return {**_head(kind), **tidied["root"], "$defs": {n: one for n, one in named.items() if f'#/$defs/{n}"' in text}}


def _head(kind: str) -> dict[str, Any]:
    return {"$schema": _DIALECT, "$id": f"urn:turnproof:schema:1:{kind}"}


def _models_in(model: type[BaseModel]) -> set[type[BaseModel]]:
    """A model and all that stand in it and are written as tables."""
    found: set[type[BaseModel]] = set()
    waiting: list[Any] = [model]
    while waiting:
        here = waiting.pop()
        if isinstance(here, type) and issubclass(here, BaseModel):
            if here not in found:
                found.add(here)
                waiting += [field.annotation for field in here.model_fields.values()]
        else:
            waiting += getattr(here, "__args__", ())
    return found


def _explain(model: type[BaseModel], schema: dict[str, Any]) -> None:
    """What the docstring says of the table as a whole, and of each of its keys, where an editor shows it."""
    text = " ".join(line.strip() for line in inspect.cleandoc(model.__doc__ or "").splitlines() if line.strip())
    parts = _KEYS.split(text)
    about = parts[0].strip()
    schema.pop("title", None)
    if about:
        schema["title"] = _first_sentence(about)
        schema["description"] = about
    for names, said in zip(parts[1::2], parts[2::2], strict=True):
        for name in names.split(", "):
            if name in schema["properties"]:
                key = schema["properties"][name]
                key["description"] = " ".join(filter(None, (_sentence(said), key.get("description"))))
    for key in schema["properties"].values():
        key.pop("title", None)


def _first_sentence(text: str) -> str:
    return re.split(r"(?<=[a-z])[.;] ", text + " ")[0].rstrip(" .")


def _sentence(text: str) -> str:
    text = text.strip().rstrip(";.").rstrip()
    return text[:1].upper() + text[1:] + "."


def _suggest_names(definitions: dict[str, Any]) -> None:
    """An editor offers what ships; a lamination may be written in more ways than it is listed in."""
    core = definitions.get("Core")
    if core is None:
        return
    core["properties"]["steel"]["enum"] = ["", *known("steels")]
    sizes = [name for table in known("laminations") for name in load_table("laminations", table)["size"]]
    core["properties"]["lamination"] = {"anyOf": [{"enum": sizes}, {"type": "string"}]}


def _tidied(schema: Any, shared: dict[str, Any]) -> Any:
    """Without null, which TOML does not have; the pattern of a quantity goes into `shared`, once for all its keys."""
    if isinstance(schema, list):
        return [_tidied(one, shared) for one in schema]
    if not isinstance(schema, dict):
        return schema
    verbatim = ("default", "examples", "enum")
    schema = {key: value if key in verbatim else _tidied(value, shared) for key, value in schema.items()}
    if "anyOf" in schema:
        left = [one for one in schema["anyOf"] if one != {"type": "null"}]
        if len(left) == 1:
            # What is said of this key goes before what is said of its kind; a quantity's units are wanted too.
            both = " ".join(filter(None, (_said(schema), _said(left[0]))))
            schema = {**left[0], **{key: value for key, value in schema.items() if key != "anyOf"}}
            if both:
                schema["description"] = both
        else:
            schema["anyOf"] = left
    default = schema.get("default")
    if "x-dimension" in schema:
        dimension = Dimension[schema.pop("x-dimension")]
        kind = dimension.words.replace(" ", "_")
        shared[kind] = {key: schema.pop(key) for key in ("type", "pattern", "maxLength", "examples")}
        schema["$ref"] = f"#/$defs/{kind}"
        if isinstance(default, float):
            schema["default"] = show(default, dimension.si, 3)
    if isinstance(schema.get("description"), str):
        schema["description"] = _said(schema)
    if isinstance(schema.get("default"), (dict, list)) or schema.get("default", 0) in (None, ""):
        del schema["default"]
    return schema


def _said(schema: dict[str, Any]) -> str:
    text = str(schema.get("description", ""))
    return text if not text or text.endswith(".") else f"{text[0].upper()}{text[1:]}."


_RULES = (
    "Limits of a workshop's own, over those that ship: only what differs stands in it. A table with another limit says "
    "in its basis where that comes from. A procedure names the file in its key rules."
)


def _rules() -> dict[str, Any]:
    """Keys and kinds of values are those of the shipped table that `over` names."""
    usual = _over("small-mains")
    others = [
        {
            "if": {"properties": {"over": {"const": name}}, "required": ["over"]},
            "then": {"properties": _over(name), "propertyNames": {"enum": [*_ABOUT, *_over(name)]}},
        }
        for name in known("limits")
        if name != "small-mains"
    ]
    return {
        "type": "object",
        "properties": _ABOUT,
        "required": ["schema"],
        "allOf": [
            {
                "if": {"properties": {"over": {"const": "small-mains"}}},
                "then": {"properties": usual, "propertyNames": {"enum": [*_ABOUT, *usual]}},
            },
            *others,
        ],
    }


_ABOUT: dict[str, Any] = {
    "schema": {"const": 1},
    "name": {"type": "string", "description": "What these limits are called in results and on certificates."},
    "over": {"enum": known("limits"), "default": "small-mains", "description": "The shipped table that these go over."},
}


def _over(name: str) -> dict[str, Any]:
    tables = {key: value for key, value in load_table("limits", name).items() if isinstance(value, dict)}
    return {
        key: {
            "type": "object",
            "properties": {inner: _like(value) for inner, value in table.items()},
            "additionalProperties": False,
            "description": str(table.get("basis", "")) or f"Limits of {key}.",
        }
        for key, table in tables.items()
        if key not in _ABOUT
    }


def _like(value: Any) -> dict[str, Any]:
    """A value as the one that ships, which is the one that holds where nothing else is said."""
    if isinstance(value, str):
        return {"type": "string", "default": value}
    if isinstance(value, list):
        return {"type": "array", "minItems": 1, "items": {**_like(value[0])}, "default": value}
    if isinstance(value, dict):
        return {"type": "object"}
    return {"type": "number", "minimum": 0, "default": value}

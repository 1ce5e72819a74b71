"""Read a job file or a bench file, and say all that is wrong with it, a line each."""

from __future__ import annotations

import difflib
import tomllib
from pathlib import Path
from typing import Annotated, Any, TypeVar

from pydantic import BaseModel, TypeAdapter, ValidationError
from pydantic.fields import FieldInfo

from bench.job.bench_file import BenchFile
from bench.job.model import Job

__all__ = [
    "FileProblem",
    "bench_file_in",
    "model_from",
    "read_bench_file",
    "read_job",
    "read_model",
    "read_table",
    "table_in",
]

M = TypeVar("M", bound=BaseModel)
_LARGEST = 1_000_000  # bytes; the largest job of ours has 3 kB


class FileProblem(Exception):
    """A file that can't be used; `lines` holds one line a problem: file, key, what was expected."""

    def __init__(self, lines: list[str]) -> None:
        super().__init__("\n".join(lines))
        self.lines = lines


def read_job(path: Path) -> Job:
    """The job in a TOML file; raises FileProblem with every problem at once."""
    return read_model(path, Job)


def read_bench_file(path: Path) -> BenchFile:
    """The bench file; raises FileProblem with every problem at once."""
    return bench_file_in(_said_in(path), path)


def bench_file_in(text: str, path: Path) -> BenchFile:
    """The bench file whose text is `text`;  path: for a person.  Raises FileProblem with every problem at once."""
    return model_from(path, table_in(text, path), BenchFile).written_as(text)


def read_table(path: Path) -> dict[str, Any]:
    """A TOML file as it stands; raises FileProblem with one line."""
    return table_in(_said_in(path), path)


def _said_in(path: Path) -> str:
    try:
        return _text(path)
    except FileNotFoundError:
        raise FileProblem([f"{path}: no such file, expected a TOML file"]) from None
    except IsADirectoryError:
        raise FileProblem([f"{path}: is a folder, expected a TOML file"]) from None
    except PermissionError:
        raise FileProblem([f"{path}: this user may not read it"]) from None
    except OSError as error:
        raise FileProblem([f"{path}: can't be read: {error.strerror or error}"]) from None
    except UnicodeDecodeError:
        raise FileProblem([f"{path}: is not UTF-8 text, expected a TOML file"]) from None


def table_in(text: str, path: Path) -> dict[str, Any]:
    """What a TOML text says;  path: of the file it is from, for a person.  Raises FileProblem with one line."""
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise FileProblem([f"{path}: not TOML: lists too deep in each other, expected a TOML file"]) from None
    except tomllib.TOMLDecodeError as error:
        raise FileProblem([f"{path}: not TOML: {_one_line(str(error))}"]) from None
    except ValueError:  # more than 4300 digits
        raise FileProblem([f"{path}: not TOML: a number of thousands of digits, expected a TOML file"]) from None


def read_model(path: Path, model: type[M]) -> M:
    """A file of any of our kinds, made whole; raises FileProblem with every problem at once."""
    return model_from(path, read_table(path), model)


def model_from(path: Path, data: dict[str, Any], model: type[M]) -> M:
    """What stands, or is to stand, in the file at `path`; raises FileProblem with every problem at once."""
    problems = _schema_problems(path, data)
    if problems:
        raise FileProblem(problems)
    try:
        return model.model_validate(data)
    except ValidationError as error:
        raise FileProblem([_line(path, data, problem, model) for problem in error.errors()]) from None


def _text(path: Path) -> str:
    """The file's text; what is far too large for a file that a person writes is not even read."""
    with path.open("rb") as file:
        content = file.read(_LARGEST + 1)
    if len(content) > _LARGEST:
        raise FileProblem([f"{path}: larger than {_LARGEST // 1000} kB, expected a TOML file that a person wrote"])
    return content.decode("utf-8")


def _schema_problems(path: Path, data: dict[str, Any]) -> list[str]:
    """A newer schema is refused before anything else is read into its keys."""
    schema = data.get("schema")
    if isinstance(schema, int) and not isinstance(schema, bool) and schema > 1:
        return [f"{path}: schema: {schema} is newer than this program, expected 1"]
    if isinstance(schema, bool):  # to Python, true equals 1
        return [f"{path}: schema: {schema}, expected 1"]
    return []


def _line(path: Path, data: dict[str, Any], problem: Any, model: type[BaseModel]) -> str:
    location = _key(data, problem["loc"])
    where = f"{path}: {location}: " if location else f"{path}: "
    kind, context = problem["type"], problem.get("ctx", {})
    if kind == "missing":
        return f"{where}missing{_due(problem['loc'], model)}"
    if kind == "extra_forbidden":
        return f"{where}unknown key{_did_you_mean(str(problem['loc'][-1]), problem['loc'], model)}"
    if kind == "value_error":
        return f"{where}{_one_line(str(context['error']))}"
    given = problem["input"]
    return f"{where}{_clip(given)}, {_expected(kind, context, problem['msg'])}"


def _expected(kind: str, context: dict[str, Any], message: str) -> str:
    match kind:
        case "int_type" | "int_parsing" | "int_from_float":
            return "expected a whole number without quotes"
        case "float_type" | "float_parsing":
            return "expected a number"
        case "string_type":
            return "expected text in quotes"
        case "bool_type" | "bool_parsing":
            return "expected true or false"
        case "tuple_type" | "list_type":
            return "expected a list"
        case "model_type" | "model_attributes_type" | "dict_type":
            return "expected a table of keys"
        case "enum" | "literal_error":
            return f"expected {context['expected']}"
        case "greater_than":
            return f"expected more than {context['gt']:g}"
        case "greater_than_equal":
            return f"expected {context['ge']:g} or more"
        case "less_than":
            return f"expected less than {context['lt']:g}"
        case "less_than_equal":
            return f"expected {context['le']:g} or less"
        case "string_pattern_mismatch":
            return f"expected text that matches {context['pattern']}"
        case "string_too_long":
            return f"expected at most {context['max_length']} characters"
        case "string_too_short":
            return f"expected at least {context['min_length']} character"
        case _:
            return message[0].lower() + message[1:]


def _key(data: Any, location: tuple[int | str, ...]) -> str:
    """`winding.heater.wire` rather than `winding[2].wire`: people know the name, not the place."""
    words: list[str] = []
    here: Any = data
    for part in location:
        try:
            here = here[part]
        except (KeyError, IndexError, TypeError):
            here = None
        if isinstance(part, int):
            name = here.get("name") if isinstance(here, dict) else None
            words.append(_clipped(name) if isinstance(name, str) and name else str(part + 1))
        else:
            words.append(_clipped(part))
    return _one_line(".".join(words))


def _did_you_mean(key: str, location: tuple[int | str, ...], model: type[BaseModel]) -> str:
    fields = _fields_at(model, location[:-1])
    close = difflib.get_close_matches(key, fields, n=1, cutoff=0.6)
    if close:
        return f", did you mean {close[0]!r}?"
    return f", expected one of {', '.join(fields)}" if fields else ""


def _due(location: tuple[int | str, ...], model: type[BaseModel]) -> str:
    """What a missing key should hold, in the words that a wrong value would be met with."""
    field = _fields_at(model, location[:-1]).get(str(location[-1]))
    if field is None:
        return ""
    if location[-1] == "schema":
        return ", expected schema = 1"
    try:
        due: Any = Annotated[(field.annotation, "as in the model", *field.metadata)]
        TypeAdapter(due).validate_python(None)
    except ValidationError as error:
        problem = error.errors()[0]
        context = problem.get("ctx", {})
        said = context["error"] if problem["type"] == "value_error" else _expected(problem["type"], context, "")
        return f", {_one_line(str(said))}"
    return ""


def _fields_at(model: type[BaseModel], location: tuple[int | str, ...]) -> dict[str, FieldInfo]:
    """The keys that may stand in the table at a location."""
    here: type[BaseModel] | None = model
    for part in location:
        if here is None or isinstance(part, int):
            continue
        field = next((f for n, f in here.model_fields.items() if (f.alias or n) == part), None)
        here = None if field is None else _model_in(field.annotation)
    return {} if here is None else {field.alias or name: field for name, field in here.model_fields.items()}


def _model_in(annotation: Any) -> type[BaseModel] | None:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for argument in getattr(annotation, "__args__", ()):
        found = _model_in(argument)
        if found is not None:
            return found
    return None


def _clipped(text: str) -> str:
    return text if len(text) <= 40 else text[:37] + "..."


def _one_line(text: str) -> str:
    """A key or a text from the file may hold anything; what we say of it stays one line."""
    return "".join(c if c.isprintable() else f"\\x{ord(c):02x}" for c in text)


def _clip(value: Any) -> str:
    return _clipped(repr(value))

"""Completion of a command line that is being typed: the scripts for the shells, and what is offered at each place.

What is offered goes by the name of the parameter, so that a command has nothing to do for it.
"""

from __future__ import annotations

import itertools
import os
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from click.shell_completion import CompletionItem, ShellComplete, add_completion_class, split_arg_string

from bench.sitting import offers
from bench.sitting.offers import Offer

__all__ = ["OFFERED", "SHELLS", "VARIABLE", "with_offers"]

VARIABLE = "_TURNPROOF_COMPLETE"
_END = "\x1f"
"""Marks the end of what is typed, so that a blank before it, or an open quote, is told from none."""


class _Typed(ShellComplete):
    """One protocol for all shells: the line up to the cursor in, lines of kind, word and explanation out."""

    def get_completion_args(self) -> tuple[list[str], str]:
        words = split_arg_string(os.environ.get("COMP_LINE", "") + _END)
        return words[1:-1], words[-1].removesuffix(_END) if words else ""

    def get_completions(self, args: list[str], incomplete: str) -> list[CompletionItem]:
        # click forgets all that was typed before an option whose value is still to come; `ctx.obj` remembers.
        self.ctx_args = {**self.ctx_args, "obj": tuple(args)}
        kept = _kept_by_the_shell(incomplete, os.environ.get("COMP_WORD"))
        return [
            CompletionItem(str(one.value)[len(kept) :], type=one.type, help=one.help)
            for one in super().get_completions(args, incomplete)
            if str(one.value).startswith(kept)
        ]

    def format_completion(self, item: CompletionItem) -> str:
        about = " ".join((item.help or "").split())
        return f"{item.type}\t{item.value}\t{about}"

    def complete(self) -> str:
        """Where nothing can be offered, nothing is said: a complaint would stand in the line that is being typed."""
        try:
            return super().complete()
        except Exception:
            return ""


def _kept_by_the_shell(word: str, part: str | None) -> str:
    """What stands before the part that the shell replaces: bash breaks words at `:`, `=` and `@`."""
    if part is None:
        return ""
    said = split_arg_string(part + _END)
    tail = said[-1].removesuffix(_END) if said else ""
    if tail and not tail.strip(":=@"):
        tail = ""
    return word[: len(word) - len(tail)] if word.endswith(tail) else ""


class Bash(_Typed):
    name = "bash"
    source_template = """\
# Completion of turnproof for bash.
%(complete_func)s() {
    local kind value about
    COMPREPLY=()
    while IFS=$'\\t' read -r kind value about; do
        # bash quotes names of files, and puts the slash behind a folder.
        if [[ $kind == file ]]; then compopt -o filenames; value=${value%%/}; fi
        case $value in *[:=@]) compopt -o nospace ;; esac
        COMPREPLY+=("$value")
    done < <(COMP_LINE="${COMP_LINE:0:COMP_POINT}" COMP_WORD="${COMP_WORDS[COMP_CWORD]}" \\
        %(complete_var)s=bash_complete "$1" 2>/dev/null)
}
complete -F %(complete_func)s %(prog_name)s
"""


class Zsh(_Typed):
    name = "zsh"
    source_template = """\
#compdef %(prog_name)s
# Completion of turnproof for zsh.
%(complete_func)s() {
    local kind value about
    local -a plain shown open open_shown
    while IFS=$'\\t' read -r kind value about; do
        if [[ $value == *[/:=@] ]]; then
            open+=("$value"); open_shown+=("$value${about:+  -- $about}")
        else
            plain+=("$value"); shown+=("$value${about:+  -- $about}")
        fi
    done < <(COMP_LINE="${(j: :)words[1,CURRENT]}" %(complete_var)s=zsh_complete "$words[1]" 2>/dev/null)
    (( $#plain )) && compadd -l -d shown -a plain
    (( $#open )) && compadd -S '' -l -d open_shown -a open
    return 0
}
if [[ $zsh_eval_context[-1] == loadautofunc ]]; then
    %(complete_func)s "$@"
else
    compdef %(complete_func)s %(prog_name)s
fi
"""


class Fish(_Typed):
    name = "fish"
    source_template = """\
# Completion of turnproof for fish.
function %(complete_func)s
    COMP_LINE=(commandline -cp) %(complete_var)s=fish_complete %(prog_name)s 2>/dev/null \\
        | string replace -r '^[a-z]+\\t' ''
end
complete --no-files --command %(prog_name)s --arguments '(%(complete_func)s)'
"""


SHELLS: tuple[type[_Typed], ...] = (Bash, Zsh, Fish)
for _shell in SHELLS:
    add_completion_class(_shell)

_Source = Callable[[str, click.Context], list[Offer]]


def _job_of(ctx: click.Context) -> Path | None:
    """The job file that stands in the line already, or the example job that is named."""
    said = ctx.params.get("job_file") or ctx.params.get("job") or ctx.params.get("job_name")
    named = [str(said)] if said else []
    for word in (*named, *(ctx.obj or ())):
        if word.endswith(".toml") and offers.job_files(word):
            return Path(word)
    examples = [one.word for one in offers.example_jobs("") if one.about]
    for word in (*named, *(ctx.obj or ())):
        if word in examples:
            from bench.job.profiles import example_job

            return example_job(word)
    return None


def _bench_of(ctx: click.Context) -> Path | None:
    """The bench file that stands in the line already."""
    words = ctx.obj or ()
    after = [value for option, value in itertools.pairwise(words) if option == "--bench"]
    return Path(after[0]) if after else ctx.params.get("bench_path")


def _jobs(typed: str, ctx: click.Context) -> list[Offer]:
    """Of a record: its commands too, since `record JOB` is short for `record show JOB`."""
    if ctx.parent is None or not isinstance(ctx.parent.command, click.Group) or ctx.parent.parent is None:
        return offers.job_files(typed)
    verbs = ctx.parent.command.list_commands(ctx.parent) if ctx.info_name == "show" else []
    return [*(Offer(verb) for verb in verbs if verb.startswith(typed)), *offers.jobs_on_record(typed)]


OFFERED: dict[str, _Source] = {
    "job_file": lambda typed, _: offers.job_files(typed),
    "job": _jobs,
    "jobs": _jobs,
    "one": _jobs,
    "other": _jobs,
    "fault": lambda typed, _: offers.fault_names(typed),
    "verdict": lambda typed, _: offers.verdicts(typed),
    "page_name": lambda typed, _: offers.guide_pages(typed),
    "job_name": lambda typed, _: offers.example_jobs(typed),
    "files": lambda typed, _: offers.files(typed),
    "bench_path": lambda typed, _: offers.bench_files(typed),
    "winding": lambda typed, ctx: offers.windings(typed, _job_of(ctx)),
    "strip": lambda typed, ctx: offers.found_windings(typed, _job_of(ctx)),
    "of": lambda typed, ctx: offers.found_windings(typed, _job_of(ctx)),
    "meter": lambda typed, ctx: offers.meters(typed, _bench_of(ctx)),
    "meters": lambda typed, ctx: offers.meters(typed, _bench_of(ctx), roles=True),
    "counter": lambda typed, ctx: offers.counters(typed, _bench_of(ctx)),
    "port": lambda typed, _: offers.ports(typed),
    "quantity": lambda typed, _: offers.quantities(typed),
    "faults": lambda typed, ctx: offers.faults(typed, _job_of(ctx)),
    "operator": lambda typed, _: offers.operators(typed),
    "procedure_name": lambda typed, _: offers.procedures(typed),
    "winder_name": lambda typed, _: offers.winders(typed),
}
"""By the name of the parameter; one that is a path and stands not here gets files of any name."""


if TYPE_CHECKING:
    _ParamType = click.ParamType[Any]
else:  # an older click has no such parameter
    _ParamType = click.ParamType


class _Offering(_ParamType):
    """A parameter's own type, with what is offered for it."""

    def __init__(self, own: _ParamType, source: _Source) -> None:
        self.name = own.name
        self._own = own
        self._source = source

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        return self._own.convert(value, param, ctx)

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        return [_item(one) for one in self._source(incomplete, ctx)]


def _item(offer: Offer) -> CompletionItem:
    is_file = offer.word.endswith("/") or offer.word.endswith(".toml")
    return CompletionItem(offer.word, type="file" if is_file else "plain", help=offer.about)


def _any_file(typed: str, _: click.Context) -> list[Offer]:
    return offers.files(typed, suffix="")


def with_offers(command: click.Command) -> click.Command:
    """The command, with what is offered for each of its parameters."""
    if isinstance(command, click.Group):
        for one in command.commands.values():
            with_offers(one)
    for param in command.params:
        source = OFFERED.get(param.name or "", _any_file if isinstance(param.type, click.Path) else None)
        if source is not None and not isinstance(param.type, _Offering):
            param.type = _Offering(param.type, source)
    return command

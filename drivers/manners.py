"""What a meter sends beside its answers: an echo, a prompt, an acknowledge line, lines that nobody asked for."""

from __future__ import annotations

from dataclasses import dataclass

from drivers.line_pattern import LinePattern

__all__ = ["Manners"]


@dataclass(frozen=True, slots=True)
class Manners:
    """How a meter frames what is said to it.

    echo: every message comes back first. prompt: ends every exchange; command_error, execution_error: come in its
    place when the message was not understood, or not carried out. prompt_ends_line: a terminator follows the prompt.
    acknowledge, refusal: come after a message that is no query. skip: lines that may come at any time and mean
    nothing, matched in full. Where a text is empty the meter has no such line.
    """

    echo: bool = False
    prompt: bytes = b""
    command_error: bytes = b""
    execution_error: bytes = b""
    prompt_ends_line: bool = True
    acknowledge: bytes = b""
    refusal: bytes = b""
    skip: tuple[LinePattern, ...] = ()

    @property
    def plain(self) -> bool:
        """Nothing but answers comes."""
        return not (self.echo or self.prompt or self.acknowledge or self.skip)

    @property
    def commands_are_silent(self) -> bool:
        """Nothing comes after a message that is no query."""
        return not (self.echo or self.prompt or self.acknowledge)

    def is_prompt(self, line: bytes) -> bool:
        bare = line.strip(b" \r\n")
        return bool(bare) and bare in (self.prompt, self.command_error, self.execution_error)

    def complaint(self, line: bytes) -> str | None:
        """What is wrong where the line says that the message was not taken, else None."""
        bare = line.strip(b" \r\n")
        if bare and bare == self.command_error:
            return f"{bare.decode('ascii')} (command error)"
        if bare and bare == self.execution_error:
            return f"{bare.decode('ascii')} (execution error)"
        if bare and bare == self.refusal:
            return bare.decode("ascii")
        return None

    def skips(self, line: bytes) -> bool:
        """Whether the line is one of those that mean nothing."""
        if not self.skip or not line.isascii():
            return False
        text = line.decode("ascii").strip()
        return any(pattern.fullmatch(text) for pattern in self.skip)

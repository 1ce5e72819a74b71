"""What the rehearsal refuses, as one line for the person who asked."""

__all__ = ["RehearsalProblem"]


class RehearsalProblem(ValueError):
    """A job, a fault or an ask that the rehearsal can't act on; its text says what, where and what was expected."""

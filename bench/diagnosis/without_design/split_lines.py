"""Current and watts, split into what carries the flux and what heats the core, in words."""

from __future__ import annotations

from bench.acceptance.report import value_text
from bench.diagnosis.without_design.core_change import loss_of, reactive_of
from bench.diagnosis.without_design.evidence import Compared
from bench.diagnosis.without_design.foretelling import Copper
from bench.diagnosis.without_design.known import Known
from bench.diagnosis.without_design.readings import What

__all__ = ["split_lines"]


def split_lines(known: Known, compared: Compared, coppers: tuple[Copper, ...]) -> tuple[str, ...]:
    """At each volts where both current and watts are known, now and as found; none where the copper is guessed."""
    if not all(one.read for one in coppers):
        return ()
    copper = coppers[0]
    lines = []
    for volts, was in sorted(compared.was.items()):
        amps, watts = (_at(compared, what, volts) for what in (What.AMPS, What.WATTS))
        if amps is None or watts is None or was.watts is None:
            continue
        loss = watts - copper.after * amps**2
        before = loss_of(was, copper.before)
        if loss <= 0:
            lines.append(
                f"  the {value_text(copper.after, 'ohm')} of {known.shown.fed} alone would take "
                f"{value_text(copper.after * amps**2, 'W')}: current, watts or ohms are not right"
            )
            continue
        lines.append(
            f"  core loss at {volts:g} V, less what {value_text(copper.after, 'ohm')} of {known.shown.fed} take: "
            f"{value_text(loss, 'W')}, as found {value_text(before, 'W')}"
        )
        lines.append(
            f"  reactive current at {volts:g} V: {value_text(reactive_of(volts, amps, loss), 'A')}, "
            f"as found {value_text(reactive_of(volts, was.current, before), 'A')}"
        )
    return tuple(one.strip() for one in lines)


def _at(compared: Compared, what: What, volts: float) -> float | None:
    return next(
        (one.value.value for one in compared.rows if one.what is what and one.fed == volts and one.value is not None),
        None,
    )

"""What is asked about varnishing, what can hurt, what comes of what is wrong, and what is tested again afterwards."""

from __future__ import annotations

from bench.quantities import Dimension
from bench.winding.stage import Question, remarks_with
from bench.winding.typed_answers import one_of, quantity_between, read_heat, words_of_a_person

__all__ = [
    "ABOUT",
    "AFTERWARDS",
    "AFTER_THE_BAKE",
    "BAKE",
    "BEFORE_THE_BAKE",
    "CONSEQUENCES",
    "QUESTIONS",
    "bake_key",
    "bake_question",
    "remark",
]

BAKE = "bake"


def bake_key(step: int) -> str:
    """Name of a bake step, the first is 1."""
    return f"{BAKE} {step}"


def bake_question(step: int) -> Question:
    """One step of the bake; there may be any number of them."""
    prompt = f"bake, step {step} (such as 90 C 6 h; Enter for no {'bake' if step == 1 else 'further step'})"
    return Question(bake_key(step), f"bake, step {step}", prompt, _heat)


def _heat(text: str) -> str:
    return str(read_heat(text))


_METHODS: dict[str, tuple[str, ...]] = {
    "dip": ("dipped", "dipping"), "brush": ("brushed",), "pour": ("poured",), "vacuum": ("vacuum pressure", "vpi"),
}  # fmt: skip

BEFORE_THE_BAKE = (
    Question("varnish", "varnish", "varnish, by its full name", words_of_a_person, required=True),
    Question("batch", "batch", "batch, or the date on the can", words_of_a_person),
    Question("thinner", "thinner", "thinner, and how much of it (none, if none)", words_of_a_person),
    Question(
        "method", "method", "method: dip, brush, pour, or vacuum", one_of(_METHODS), required=True,
        choices=tuple(_METHODS),
    ),
    Question("mass_before", "mass before", "mass before varnish, dry (such as 1250 g)",
             quantity_between(Dimension.MASS, "1 g", "200 kg")),
    Question("predry", "dried before", "dried before varnish (such as 80 C 3 h)", _heat),
    Question("drain", "drained", "time to drain (such as 30 min)",
             quantity_between(Dimension.TIME, "10 s", "168 h")),
)  # fmt: skip
AFTER_THE_BAKE = (
    Question("mass_after", "mass after", "mass after the bake, cold (such as 1290 g)",
             quantity_between(Dimension.MASS, "1 g", "200 kg")),
    Question("by", "by", "varnished by", words_of_a_person),
    Question("note", "note", "anything else to be kept", words_of_a_person),
)  # fmt: skip

QUESTIONS = (*BEFORE_THE_BAKE, *AFTER_THE_BAKE)
"""All but the steps of the bake, which are asked between the two."""

CONSEQUENCES: dict[str, tuple[str, str]] = {
    "too_hot_class": (
        "Hotter than the class of insulation that the job asks for is rated to be.",
        "insulation of each winding to all the rest, before and after",
    ),
    "too_hot_old": (
        "Paper, cotton and wax of class A, and whatever an old unit holds that nobody knows, are baked at not above "
        "about 90 °C (a navy's manual for machines, rminucleardocs.icaad.ngo; some say that wax and pitch are harmed "
        "well below 100 °C). Wax runs out.",
        "insulation of each winding to all the rest, before and after",
    ),
    "bake": (
        "Varnish that dries in air does not dry inside a coil without heat (from amplifier builders, "
        "lists.contesting.com).",
        "insulation of each winding: it falls after varnish, and rises with more baking, while it is not cured",
    ),
    "no_bake_time": (
        "Too short a bake leaves it soft inside: say how long the core itself was so hot, not the oven.",
        "insulation of each winding: it falls after varnish while it is not cured",
    ),
    "no_bake_temperature": ("Say how hot the core itself was, by a thermometer on it.", ""),
    "lighter": (
        "Varnish adds mass; water driven out can hide a little. Check the scale, and that nothing came off.",
        "",
    ),
    "much_heavier": ("Perhaps a slip of a unit, or it was not left to drain.", ""),
    "no_predry": (
        "What is damp inside is sealed in. Dry it first, until the insulation reads no higher from hour to hour.",
        "insulation of each winding to all the rest",
    ),
    "begun_although": ("What is wrong inside can hardly be mended any more.", "the whole of turnproof test"),
    "no_photograph": ("--photo FILE keeps one, P in the window.", ""),
}
"""By the name of the remark: what comes of it, and which step of `turnproof test` shows it. Common practice, no source,
where none is named."""

ABOUT = {
    "bake": bake_key(1), "lighter": "mass_after", "much_heavier": "mass_after", "taken_up": "mass_after",
    "no_predry": "predry",
}  # fmt: skip
"""By the name of the remark: the question that it is about, where it is one."""

remark = remarks_with(CONSEQUENCES, ABOUT)
"""A remark on this stage, and with its name goes what comes of it."""

AFTERWARDS = (
    ("insulation of each winding to all the rest", "higher than before, never lower: lower means damp or uncured"),
    ("resistance of every winding", "within 1 % of before, both at 20 °C (from memory)"),
    ("turns by ratio", "as before"),
    ("exciting current", "as before: more means that the core came loose or a lamination was lifted"),
    ("core watts", "within 5 % of before"),
    ("high-voltage test, where one was made", "at 80 % of the volts before varnish: each one wears the insulation "
     "(from memory)"),
)  # fmt: skip
"""What is tested again, cold, and how it should compare: common practice, no source, but where it is said."""

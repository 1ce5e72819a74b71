"""What is asked about a restacked core, and what comes of each thing that can be wrong with it."""

from __future__ import annotations

from collections.abc import Callable

from bench.quantities import Dimension
from bench.winding.stage import Answered, Question, remarks_with
from bench.winding.typed_answers import one_of, quantity_between, read_laminations, words_of_a_person

__all__ = ["ABOUT", "CONSEQUENCES", "FIRST_WORDS", "INTERLEAVES", "QUESTIONS", "remark"]

INTERLEAVES = ("1x1", "2x2", "3x3", "4x4", "butt")
"""From the least air in the joints to the most."""


def _laminations(text: str) -> str:
    return str(read_laminations(text))


def _laminations_in(text: str) -> str:
    count = read_laminations(text)
    if not count.e and not count.i:
        raise ValueError(f"{text[:40]!r}: a core without laminations, expected such as 96, or 96 E 95 I")
    return str(count)


def _tested(what: str) -> dict[str, tuple[str, ...]]:
    return {
        "both": ("with and without", "before and after"),
        "without": ("before", f"without {what}"),
        "with": ("after", f"with {what}"),
        "no": ("not", "none"),
    }


def _chosen(
    key: str,
    words: str,
    prompt: str,
    answers: dict[str, tuple[str, ...]],
    *,
    required: bool = False,
    only_if: Callable[[Answered], bool] = lambda known: True,
    only_words: str = "",
) -> Question:
    """Its answer is one of a few words."""
    return Question(
        key, words, prompt, one_of(answers), required=required, only_if=only_if, only_words=only_words,
        choices=tuple(answers),
    )  # fmt: skip


QUESTIONS = (
    Question(
        "came_out", "came out", "how many came out of it as found (96, or 96 E 95 I)", _laminations,
    ),
    Question(
        "laminations_in", "put in", "E's and I's put in (96 for as many of each, or 96 E 95 I)", _laminations_in,
        required=True,
    ),
    Question("left_over", "left over", "E's and I's left over (0 for none)", _laminations, required=True),
    Question("scrapped", "scrapped", "damaged ones scrapped (0 for none)", _laminations),
    _chosen(
        "interleave", "interleave", "interleave: 1x1, 2x2, 3x3, 4x4, or butt",
        {
            "1x1": ("1", "1-1", "1/1", "1by1", "alternate", "every one"), "2x2": ("2", "2-2", "2/2"),
            "3x3": ("3", "3-3", "3/3"), "4x4": ("4", "4-4", "4/4"), "butt": ("butted", "butt joint"),
        },
        required=True,
    ),
    Question(
        "gap", "gap", "thickness of the spacer in the butt joint (such as 0.1 mm; Enter for none)",
        quantity_between(Dimension.LENGTH, "0.005 mm", "10 mm"), bare="mm",
        only_if=lambda known: known.text("interleave") == "butt", only_words="with interleave butt",
    ),
    Question(
        "stack", "stack height", "height of the stack, pressed together (such as 45.5 mm)",
        quantity_between(Dimension.LENGTH, "3 mm", "500 mm"), bare="mm", required=True,
    ),
    _chosen(
        "bolts", "bolts",
        "bolts: insulated (all in tubes, under insulating washers), bare (some are not), or none (no bolts)",
        {
            "insulated": ("yes", "y", "tubes", "tubes and washers", "all"), "bare": ("no", "not", "some", "partly"),
            "none": ("no bolts", "clamp", "frame"),
        },
        required=True,
    ),
    _chosen(
        "wedge", "wedge", "wedge between tongue and former: in, left out, or none (never had one)",
        {"in": ("yes", "y"), "left out": ("no", "out"), "none": ("never",)},
    ),
    _chosen(
        "band", "band",
        "closed band: outside (round core and coil, where it belongs), inside (round a winding), left off, or none; "
        "a screen is no band: it lies between windings and must not close",
        {
            "outside": ("yes", "y", "fitted"), "inside": ("round a winding",), "left off": ("no", "off"),
            "none": ("never",),
        },
    ),
    _chosen(
        "band_tested", "band tested", "tested without the band and with it: both, without, with, or no",
        _tested("the band"),
        only_if=lambda known: known.text("band") in ("outside", "inside"), only_words="with a band that is fitted",
    ),
    _chosen(
        "can", "can", "can or bell ends: fitted, left off, or none (never had one)",
        {"fitted": ("yes", "y"), "left off": ("no", "off"), "none": ("never",)},
    ),
    _chosen(
        "can_tested", "can tested", "tested without the can and with it: both, without, with, or no",
        _tested("the can"),
        only_if=lambda known: known.text("can") == "fitted", only_words="with a can that is fitted",
    ),
    _chosen(
        "earth", "earth lead",
        "earth lead of core, screen and band: joined, not joined, or none (the unit has no earth)",
        {"joined": ("yes", "y"), "not joined": ("no", "open"), "none": ("never", "no earth")}, required=True,
    ),
    Question("note", "note", "anything else to be kept", words_of_a_person),
)  # fmt: skip
"""In the order in which they come up."""

FIRST_WORDS = (
    "As many laminations as came out; each with its insulation left on: nothing is ground or cleaned to bright metal.",
    "I's from alternate sides, pushed home. The last ones are tapped in with a block of wood, never forced: a scraped "
    "winding touches the core.",
)
"""Common practice, no source."""

CONSEQUENCES: dict[str, tuple[str, str]] = {
    "missing_laminations": (
        "The core reaches its knee earlier: the exciting current rises near it and above, and looks right at low "
        "volts. Put them in, or know what it costs.",
        "height of the stack; exciting current at 100 and 110 %",
    ),
    "unaccounted": (
        "Look for them before anything is fed: one that slipped into the window lies against a winding.",
        "insulation of each winding to all the rest",
    ),
    "more_than_came_out": (
        "That is right where new ones took the place of scrapped ones of the same sheet, and a slip of the count "
        "otherwise.",
        "height of the stack",
    ),
    "e_not_i": (
        "A layer without its other half is open at the joint: its flux crosses into the neighbours, so the exciting "
        "current is up from the lowest volts on while the watts hardly change, and it hums.",
        "exciting current at 50 and 75 %",
    ),
    "more_steel_than_height": ("Count again, or measure again; or the sheet is thinner than its name.", ""),
    "loose_stack": (
        "It is not pressed, or burrs, bent sheets or old varnish lie between: it hums, and has less steel than it is "
        "high. Old ones stacked by hand come to 90 to 93 % (from memory).",
        "exciting current at 100 and 110 %",
    ),
    "stack_low": (
        "Less steel: the knee comes earlier, and the exciting current rises near it and above.",
        "height of the stack; exciting current at 100 and 110 %",
    ),
    "stack_high": (
        "Not pressed, bent sheets, or more laminations than the design has; it may strain the former.",
        "height of the stack",
    ),
    "looser_joints": (
        "More air in the joints: the exciting current is up at all volts, while the watts of the core hardly change; "
        "it may hum. Stack it anew now: after varnish nobody can.",
        "exciting current, already at 50 %",
    ),
    "tighter_joints": ("It will take less exciting current than the test expects.", "exciting current at 50 %"),
    "gap": (
        "The exciting current is up at all volts, and the watts by what that current loses in the copper. A mains "
        "transformer wants no gap; a choke does.",
        "exciting current, already at 50 %",
    ),
    "bare_bolts": (
        "A bolt that touches the laminations bridges them, and two with the frame can close a turn round part of the "
        "flux: more watts while the exciting current hardly moves, and a hot bolt. Watts that fall when the bolts are "
        "out say so.",
        "core watts",
    ),
    "band_inside": (
        "Closed round a winding it is a shorted turn, perhaps with hundreds of amps in it: take it out before "
        "anything is fed. A band goes round the outside of core and coil; a screen stays open, its overlap insulated.",
        "first power behind the limiter; core watts",
    ),
    "band_left_off": ("More stray field; mind a picture tube or a sensitive input nearby.", ""),
    "can_left_off": ("More stray field, and what it kept fingers from is open.", ""),
    "ring_not_tested": (
        "Take exciting current and core watts once without it and once with it: what differs is its doing, and it "
        "must not touch winding, lead or tag.",
        "exciting current; core watts",
    ),
    "not_earthed": (
        "Core, screen and band are earthed before first power: a fault to them is live to the touch otherwise. Join "
        "it, and see by an ohmmeter that it is joined.",
        "insulation of each winding to all the rest, with core and screen joined",
    ),
    "no_wedge": ("The coil may move on the tongue, and hum.", ""),
    "no_photograph": ("Who opens it next would be glad of one (--photo FILE, P in the window).", ""),
}
"""By the name of the remark: what comes of it, and which step of `turnproof test` shows it. By the physics of the core
and common practice, no source."""

ABOUT = {
    "missing_laminations": "laminations_in", "more_than_came_out": "laminations_in", "e_not_i": "laminations_in",
    "unaccounted": "left_over", "looser_joints": "interleave", "tighter_joints": "interleave", "gap": "gap",
    "more_steel_than_height": "stack", "loose_stack": "stack", "stack_low": "stack", "stack_high": "stack",
    "bare_bolts": "bolts", "no_wedge": "wedge", "band_inside": "band", "band_left_off": "band",
    "can_left_off": "can", "not_earthed": "earth",
}  # fmt: skip
"""By the name of the remark: the question that it is about."""

remark = remarks_with(CONSEQUENCES, ABOUT)
"""A remark on this stage, and with its name goes what comes of it."""

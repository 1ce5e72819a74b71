"""Each fault in plain language: what would settle it, and what mends it before varnish."""

from __future__ import annotations

__all__ = ["CHECK", "REMEDY", "explains"]

CHECK = {
    "turns_wrong": "series sum against a winding of nearly the same turns, or a search coil as the reference",
    "turns_shorted": "core watts again with nothing joined to any secondary; unplugged: feel for the warm spot",
    "winding_reversed": "series sum with a link at a few volts, once more",
    "leads_swapped": "resistance of both windings from lead to lead, against the winding sheet",
    "winding_open": "ohmmeter on the joint between wire and lead, unplugged",
    "core_gap": "tap the laminations home, clamp, and take the exciting current at half the volts again",
    "core_stack_short": "height of the stack by a rule, and the laminations left over",
    "screen_closed": "unplugged: lift the screen's overlap; with both its ends out, a few volts on the primary "
    "must show one turn's volts between them",
    "screen_unearthed": "unplugged: ohms from the earth lead to the screen's other end, where that is out; else the "
    "lead's joint to the foil, by eye",
    "insulation_low": "dry the unit warm for some hours, let it cool and read again: moisture mends, a touch does not",
    "reading_wrong": "put the leads on anew and take the same reading again",
    "supply_wrong": "frequency and wave of the supply, from another outlet",
    "unknown": "start again at the resistances",
}

REMEDY = {
    "turns_wrong": "outermost winding: take the surplus off or thread the missing turns through the window; inner one: "
    "decide by the volts whether it can stay",
    "turns_shorted": "find it before varnish: strip to the layer, renew wire and interlayer",
    "winding_reversed": "exchange its two leads where they come out, and the marks S and F with them",
    "leads_swapped": "mark the leads anew; nothing in the winding is wrong",
    "winding_open": "open the lead's anchoring, clean and remake the joint; inside the winding: strip to the layer",
    "core_gap": "restack one by one, laminations pushed home, and clamp",
    "core_stack_short": "put the missing laminations in, or lower the flux by the volts",
    "screen_closed": "never power it; open the overlap and insulate it",
    "screen_unearthed": "remake the joint of lead and foil, or of lead and earth, before anything is fed",
    "insulation_low": "dry it; if it stays low, strip to the place where they touch",
    "reading_wrong": "none: the unit may be good; test it again",
    "supply_wrong": "none: test it again on the right supply",
    "unknown": "no advice beyond taking the test again",
}


def explains(fault: str, winding: str, size: str) -> str:
    """The fault in one sentence."""
    where = f" {winding}" if winding else ""
    words = {
        "turns_wrong": f"{winding} has {size} against its design",
        "turns_shorted": f"a turn of{where} is shorted ({size})",
        "winding_reversed": f"{winding} is reversed: start and finish exchanged",
        "leads_swapped": f"the leads of {winding} are exchanged",
        "winding_open": f"{winding} is open",
        "core_gap": f"a gap in the core's joints, about {size}",
        "core_stack_short": f"the stack is about {size} short",
        "screen_closed": f"{winding} closes on itself ({size})",
        "screen_unearthed": f"{winding} is not joined to earth",
        "insulation_low": f"insulation of {winding} is low",
        "reading_wrong": f"a reading of {winding} was taken wrongly",
        "supply_wrong": "the supply is not what the job says",
        "unknown": "none of the known faults explains these readings",
    }
    return words[fault]

"""The faults that a rehearsed unit, its bench or its hand can have, and how a person names them."""

from bench.rehearsal.faults.model import Fault, FaultName, Place, SizeKind
from bench.rehearsal.faults.reading import parse_fault

__all__ = ["Fault", "FaultName", "Place", "SizeKind", "parse_fault"]

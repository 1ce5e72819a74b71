"""One go at a winding with a counter: it counts, and a person says the rest; for a terminal and for the window."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from bench.records.instrument_entry import keep_counter
from bench.records.problem import RecordProblem
from bench.sitting.alerts import Alerts
from bench.sitting.half_line import HalfLine
from bench.sitting.opening import open_counter
from bench.sitting.patience import Patience
from bench.sitting.taking_up import may_be_others, take_up
from bench.sitting.winding_record import WindingRecord
from bench.sitting.wire_segments import new_segment, sealed
from bench.winding.course import Course, course_of
from bench.winding.orders import Act, Order, carried_out
from bench.winding.session import WindingSession
from bench.winding.sides import WindingObserver, WindingResult

if TYPE_CHECKING:
    from bench.design.plan import WindingPlan
    from bench.job.bench_file import BenchFile
    from bench.job.winding import Winding
    from drivers.counter import Counter
    from drivers.counting import Count
    from drivers.foot_switch import FootSwitch

__all__ = ["AskedWinding", "CountedWinding", "counted_winding"]

_WARN_BOARD = 10.0


@dataclass(frozen=True)
class AskedWinding:
    """What is wound.  plan: None where the job is not filled in enough for one;  counter: PROFILE@PORT or its name;
    rest: s at the target that end it;  start: turns that are on already;  sounds, speak: what is heard."""

    winding: Winding
    target: int
    plan: WindingPlan | None
    counter: str
    rest: float = 3.0
    start: float | None = None
    wire_log: Path | None = None
    sounds: bool = True
    speak: int | None = None


class CountedWinding:
    """`turn_over` again and again until `over`; `obey` what a person says meanwhile, from the same thread."""

    def __init__(
        self,
        record: WindingRecord,
        asked: AskedWinding,
        instrument: Counter,
        observers: tuple[WindingObserver, ...],
        tell: Callable[[str], None],
        *,
        greeting: str,
        asks_of_travel: bool,
        foot: FootSwitch | None,
        things: ExitStack,
        keep_counter: Callable[[], None],
    ) -> None:
        self._record, self._asked, self._instrument, self._tell, self._foot = record, asked, instrument, tell, foot
        self.greeting = greeting
        self._alerts = Alerts(tell, sounds=asked.sounds, speak=asked.speak)
        things.callback(self._alerts.close)

        def course(ends: tuple[float, ...]) -> Course:
            return course_of(asked.winding, asked.target, asked.plan, ends)

        self.session = WindingSession(
            asked.winding,
            asked.target,
            _Source(instrument),
            record.keep,
            (*observers, self._alerts),
            rest=asked.rest,
            course=course,
            state=record.state,
            asks_of_travel=asks_of_travel,
        )
        self._patience = Patience(asked.counter, tell, instrument.sends_at_rest)
        self._log_told = self._foot_told = self._board_told = False
        self._keep_counter = keep_counter
        self._kept_board = instrument.board
        keep_counter()
        self.ended: WindingResult | None = None
        self.left = False

    @property
    def identity(self) -> str | None:
        """What the counter says of itself, once it has."""
        return self._instrument.identity

    @property
    def over(self) -> bool:
        """Finished, or left to go on later."""
        return self.left or self.ended is not None

    def turn_over(self) -> None:
        """One poll of the counter; what came is kept, shown and heard."""
        rested = self.session.turn_over()
        if self._instrument.board != self._kept_board:  # it tells only once it was asked
            self._kept_board = self._instrument.board
            self._keep_counter()
        self._patience.listening(self._instrument.listening, self.session.heard)
        self._hear_foot()
        self._alerts.looked()
        self._patience.looked()
        self._look_at_counter()
        if rested and not self.over:
            self.ended = self.session.finish()

    def obey(self, order: Order) -> None:
        """What a person said; what is pressed after the end is for nobody."""
        if self.over:
            return
        match order.act:
            case Act.LEAVE:
                self.left = True
            case Act.HELP:
                self._tell("orders: " + ", ".join(act for act in Act if act is not Act.SOUND))
            case Act.NOTE:
                if order.text:
                    self._record.keep("note", {"text": order.text})
                    self._tell(f"noted: {order.text}")
            case Act.SAY:
                self._alerts.say_count()
            case Act.SOUND:
                self._tell("sounds on" if self._alerts.toggle_sounds() else "sounds off")
            case Act.END:
                self._end(order)
            case _:
                try:
                    self._tell(carried_out(self.session, order))
                except ValueError as problem:
                    self._tell(str(problem))

    def close_go(self) -> None:
        """It is finished and heard so, or the record keeps that it was left."""
        if self.ended is not None:
            self._alerts.done()
        else:
            self.keep_left()

    def keep_left(self) -> None:
        """Left by a word: what the spindle does from now on is another's.  Raises RecordProblem."""
        self._record.keep("winding go", {"left": True})

    def _end(self, order: Order) -> None:
        progress = self.session.progress
        if progress is None:
            self._tell("no count yet, expected a line of the counter first")
        elif not order.text and not WindingResult(progress).met:
            self._tell("not at its target: say why it ends here, such as: end no more room")
        else:
            self.ended = self.session.finish(order.text)

    def _hear_foot(self) -> None:
        if self._foot is None:
            return
        for _ in range(self._foot.pressed()):
            self.obey(Order(Act.NEXT))
        if self._foot.lost is not None and not self._foot_told:
            self._tell(f"foot switch: {self._foot.lost}; it is looked for")
        self._foot_told = self._foot.lost is not None

    def _look_at_counter(self) -> None:
        if self._instrument.board_knows_aim and not self._board_told:
            self._board_told = True
            self._tell("the board knows the target: it warns, and lets the winder stop, by itself")
        problem = self._instrument.log_problem
        if problem and not self._log_told:
            self._log_told = True
            self._tell(f"the counter's lines can't be kept any more ({problem}); the count goes on")


@contextmanager
def counted_winding(
    record: WindingRecord,
    bench: BenchFile,
    asked: AskedWinding,
    observers: Callable[[str], tuple[WindingObserver, ...]],
    tell: Callable[[str], None],
    warn: Callable[[str], None],
) -> Iterator[CountedWinding]:
    """Counter open and brought to where the coil stands; its lines are sealed into the record at the end.

    observers: made once it is known what there is to say at first;  tell: what is said on the way;  warn: before it
    begins.  Left by Ctrl-C the record keeps that it was left, as far as it can.  Raises BadInput,
    InstrumentTrouble or RecordProblem.
    """
    state = record.state
    segment = asked.wire_log or new_segment(record)
    with ExitStack() as things:
        things.enter_context(sealed(record))
        instrument = things.enter_context(open_counter(bench, asked.counter, wire_log=segment))
        taken_up, greeting = take_up(record, instrument, state, asked.start)
        begun = record.begin(taken_up, asked.target, asked.counter)
        for words in filter(None, (greeting, begun)):
            warn(words)
        winding = CountedWinding(
            record,
            asked,
            instrument,
            observers(begun or greeting),
            tell,
            greeting=begun or greeting,
            asks_of_travel=state.counter is not None and asked.start is None and may_be_others(record, state),
            foot=_foot_switch(bench, things, warn),
            things=things,
            keep_counter=lambda: keep_counter(
                record.store, record.number, bench, asked.counter, instrument,
                winding=record.winding, during="winding",
            ),
        )  # fmt: skip
        instrument.aim(asked.target, _WARN_BOARD)
        try:
            yield winding
        except KeyboardInterrupt:
            with suppress(RecordProblem):
                winding.keep_left()
            raise


class _Source:
    """A counter without the half line on which one begins to listen."""

    def __init__(self, counter: Counter) -> None:
        self._counter = counter
        self._half_line = HalfLine()

    def poll(self, timeout_s: float) -> Sequence[Any]:
        return self._half_line.without(self._counter.poll(timeout_s))

    @property
    def count(self) -> Count | None:
        return self._counter.count

    def __getattr__(self, name: str) -> Any:
        return getattr(self._counter, name)


def _foot_switch(bench: BenchFile, things: ExitStack, warn: Callable[[str], None]) -> FootSwitch | None:
    """The foot switch of the bench file, where it is a serial line; one that isn't there is told and done without."""
    entry = bench.foot_switch
    if entry is None or entry.port is None:
        return None
    from drivers.errors import DriverError
    from drivers.foot_switch import FootSwitch, SwitchLine

    try:
        return things.enter_context(FootSwitch(entry.port, SwitchLine(entry.line)))
    except DriverError as problem:
        warn(f"foot switch: {problem}; going on without it")
        return None

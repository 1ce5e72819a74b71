"""What can be done at the survey: type a reading, count a winding as it comes off, keep a note, open a job."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

from bench.dashboard.album.album_acts import ALBUM_WORDS
from bench.dashboard.desk import NOT_AT_THE_BENCH, Desk
from bench.dashboard.parts.act import Act, Question
from bench.dashboard.state import Snapshot
from bench.dashboard.survey.reckoned import SurveyShown
from bench.dashboard.work.keep_work import KeepWork
from bench.dashboard.work.strip_work import GoTyped, Leave, OffWhole, StripWork
from bench.dashboard.work.to_keep import not_kept
from bench.records.entry import Kind
from bench.sitting.attaching import note_of
from bench.sitting.found_readings import DueReading, TypedReading, typed_reading, typed_winding, withdrawn
from bench.sitting.job_files import job_files
from bench.sitting.names import expected_names, meant_name
from bench.sitting.opening import HAND, meter_entry, open_store
from bench.sitting.problems import BadInput
from bench.sitting.reason import is_reason
from bench.survey.values import WindingFound
from bench.winding.layers import read_turns

if TYPE_CHECKING:
    from bench.dashboard.survey.face import SurveyFace

__all__ = ["SurveyActs"]

_FILES = "job files"


class SurveyActs:
    """Between the face and the desk.  counter: that counts what comes off; `hand` where it is typed."""

    def __init__(self, desk: Desk, face: SurveyFace) -> None:
        self._desk, self._face = desk, face
        self.counter = HAND
        self._was_doing = ""
        self._shown: SurveyShown | None = None
        face.overview.list.chosen.connect(self._offer)
        face.readings.list.chosen.connect(self._offer)

    def show_state(self, state: Snapshot, shown: SurveyShown | None) -> None:
        """Offer what can be done."""
        if self._was_doing and not state.doing:
            self._face.reckoning.look_again()
        self._was_doing = state.doing
        self._shown = shown
        self._offer()

    def look_for_files(self) -> None:
        """Of jobs, to choose from."""
        path = self._desk.state.path
        folders = (Path.cwd(), *(() if path is None else (path.parent,)))

        def look() -> tuple[str, ...]:
            with open_store() as store:
                return job_files(store, folders)

        self._desk.reckon(_FILES, look)

    # -- what is offered ---------------------------------------------------------------------------

    def _offer(self) -> None:
        state = self._desk.state
        if state.job is None:
            self._face.offer((self._open_act(strong=True),))
        elif state.coming_off is not None:
            self._face.offer(self._while_off(by_counter=bool(state.coming_off.counter)))
        elif self._shown is None:
            self._face.offer((self._open_act(),))
        elif self._face.reading:
            self._face.offer(self._at_readings(self._shown))
        else:
            self._face.offer(self._at_overview(self._shown))

    def _at_overview(self, shown: SurveyShown) -> tuple[Act, ...]:
        chosen = self._winding(shown)
        named = bool(shown.known.gathered.found.winding)
        read = any(one.kept for one in shown.due)
        acts = []
        if chosen is not None:
            whole = shown.survey is not None and shown.survey.whole
            acts.append(self._count_act(chosen, strong=read and not whole))
        acts.append(Act("R", "readings while it is whole", partial(self._look_at, True), strong=named and not read))
        acts.append(self._name_act(strong=not named))
        counter = Question(("counter, or hand",), self._use_counter, self._counters())
        if chosen is not None:
            acts += [
                Act("F", f"turns of {chosen.name} off already", Question(("turns off already",), self._start_from)),
                Act("C", f"counted by {self.counter}", counter),
                Act("Down", "next winding", partial(self._face.overview.list.step, 1)),
                Act("Up", "winding before", partial(self._face.overview.list.step, -1)),
            ]  # fmt: skip
        note = Question(("note", "of which winding; Enter: of the unit"), self._note, ())
        album = Act("G", ALBUM_WORDS, self._look_at_pictures)
        return (*acts, album, Act("N", "note", note), self._open_act())

    def _count_act(self, chosen: WindingFound, *, strong: bool) -> Act:
        by_record = chosen.counted is not None and chosen.counted.how != "job file"
        if by_record:
            return Act("A", f"count {chosen.name} anew", partial(self._count, again=True))
        return Act("Return", f"count {chosen.name} off", self._count, strong=strong)

    def _at_readings(self, shown: SurveyShown) -> tuple[Act, ...]:
        page = self._face.readings
        due = page.due
        acts = []
        if due is not None:
            acts.append(Act("Return", "type this reading", partial(self._type, due), strong=True))
            if due.in_record:
                acts.append(Act("X", f"withdraw {due.kept}", partial(self._withdraw, due)))
        acts += [
            Act("Down", "next reading", partial(page.list.step, 1)),
            Act("Up", "reading before", partial(page.list.step, -1)),
            self._name_act(strong=due is None),
        ]
        if shown.known.gathered.named_by_record:
            acts.append(Act("B", "name all windings anew", Question(("the word yes names all anew",), self._take_back)))
        acts.append(Act("Escape", "back", partial(self._look_at, False)))
        return tuple(acts)

    def _while_off(self, *, by_counter: bool) -> tuple[Act, ...]:
        whole = Act("W", "it is off whole", partial(self._desk.say, OffWhole()), strong=by_counter)
        leave = Act("Q", "leave it so, all is kept", partial(self._desk.say, Leave()))
        if by_counter:
            return (whole, leave)
        go = Question(("turns of this go, such as 84, or 88+88+46; -3: taken back",), self._go_typed)
        return (Act("Return", "type turns that came off", go, strong=True), whole, leave)

    def _name_act(self, *, strong: bool) -> Act:
        asks = ("name of the winding, inside first, such as primary", "p = primary, s = secondary; Enter: by its name",
                "volts by the plate, such as 6.3 V or 300-0-300 V; Enter: none")  # fmt: skip
        return Act("W", "name a winding", Question(asks, self._name_winding), strong=strong)

    def _open_act(self, *, strong: bool = False) -> Act:
        return Act("O", "open a job", partial(self._ask_for_job), strong=strong)

    def _look_at_pictures(self) -> None:
        job = self._desk.state.job
        if job is not None:
            self._face.album.open(job.identity.number)

    # -- a job -------------------------------------------------------------------------------------

    def _ask_for_job(self) -> None:
        found = self._desk.state.reckoned.get(_FILES)
        files = () if found is None or found.value is None else found.value
        self._face.put(Question(("job file; Down shows those that are here",), self._open, files))

    def _open(self, answers: tuple[str, ...]) -> str:
        if not answers[0]:
            return "expected the path of a job file"
        if self._desk.busy:
            return f"{self._desk.state.doing or 'a work'} is at the bench, expected it ended first"
        try:
            self._desk.open_job(Path(answers[0]).expanduser())
        except BadInput as problem:
            return str(problem).splitlines()[0]
        except (OSError, ValueError) as problem:
            return f"{answers[0][:80]}: can't be opened: {problem}"
        self._look_at(False)
        self.look_for_files()
        return ""

    # -- what was typed ----------------------------------------------------------------------------

    def _type(self, due: DueReading) -> None:
        shown = self._shown
        if shown is None:
            return
        if due.part in ("volts", "exciting") and shown.gate and not shown.fed_because:
            asks = ("the word yes feeds it all the same; Esc does not", "the reason, in words; it is recorded")
            self._desk.tell(" ".join(shown.gate), grave=True)
            self._face.put(Question(asks, self._feed_all_the_same))
            return
        self._face.put(Question(due.asks, partial(self._typed, due)))

    def _typed(self, due: DueReading, answers: tuple[str, ...]) -> str:
        shown = self._shown
        if shown is None:
            return "the survey is being worked out anew, try once more"
        try:
            reading = typed_reading(shown.known, due, answers, shown.refuse)
        except ValueError as problem:
            return str(problem)
        if reading.doubt:
            self._desk.tell(f"{reading.doubt}. Is it right?", grave=True)
            asked = f"{reading.words}: right? yes or no"
            self._face.put(Question((asked,), partial(self._sure, reading), ("yes", "no")))
            return ""
        return self._keep(reading, by_meter=True)

    def _sure(self, reading: TypedReading, answers: tuple[str, ...]) -> str:
        match answers[0].lower():
            case "y" | "yes":
                return self._keep(reading, by_meter=True)
            case "n" | "no" | "":
                self._desk.tell(f"not kept: {reading.words}")
                return ""
        return f"{answers[0][:40]!r}: expected yes or no"

    def _feed_all_the_same(self, answers: tuple[str, ...]) -> str:
        if answers[0].lower() != "yes":
            return f"{answers[0][:40]!r}: expected the word yes, or Esc"
        if not is_reason(answers[1]):
            return f"{answers[1][:40]!r} is no reason, expected words, at least 3 letters"
        note = {"text": f"fed past the insulation gate because: {answers[1]}"}
        return self._keep(TypedReading(((Kind.NOTE, note),), f"fed past the insulation gate because: {answers[1]}"))

    def _name_winding(self, answers: tuple[str, ...]) -> str:
        if self._shown is None:
            return "the survey is being worked out, try once more"
        try:
            reading = typed_winding(self._shown.known, answers)
        except ValueError as problem:
            return str(problem)
        return self._keep(reading)

    def _take_back(self, answers: tuple[str, ...]) -> str:
        if answers[0].lower() != "yes":
            return f"{answers[0][:40]!r}: expected the word yes, or Esc"
        body = {"part": "winding", "taken_back": True}
        return self._keep(TypedReading(((Kind.AS_FOUND, body),), "all windings taken back: name them anew"))

    def _withdraw(self, due: DueReading) -> None:
        self._keep(withdrawn(due))

    def _note(self, answers: tuple[str, ...]) -> str:
        text, of = answers
        try:
            text = note_of(text)
        except BadInput as problem:
            return str(problem)
        state = self._desk.state
        names = [] if self._shown is None else [one.name for one in self._shown.known.gathered.found.winding]
        names += [] if state.job is None else [one.name for one in state.job.winding if one.name not in names]
        body = {"text": text}
        if of:
            meant = meant_name(of, names)
            if meant is None:
                return f"{of[:40]!r}: no winding of the unit, {expected_names(of, names)}"
            body["winding"] = meant
        return self._keep(TypedReading(((Kind.NOTE, body),), f"note: {text[:60]}"))

    def _keep(self, reading: TypedReading, *, by_meter: bool = False) -> str:
        state = self._desk.state
        if state.job is None:
            return "no job is open"
        # insulation is read with a tester, which no bench file knows
        by_meter = by_meter and all(body.get("part") != "insulation" for _, body in reading.bodies)
        meter = meter_entry(self._desk.bench, HAND) if by_meter else None
        work = KeepWork(state.job, reading.bodies, reading.words, meter=meter)
        try:
            self._desk.begin(work)
        except BadInput as problem:
            self._desk.tell(not_kept(work.whole, str(problem)), grave=True)
            return str(problem)
        return ""

    # -- what comes off ----------------------------------------------------------------------------

    def _count(self, *, again: bool = False, start: float | None = None) -> None:
        state, chosen = self._desk.state, None if self._shown is None else self._winding(self._shown)
        if state.job is None or state.path is None or chosen is None:
            return
        work = StripWork(state.path, state.job, self._desk.bench, chosen.name, self.counter, again=again, start=start)
        try:
            self._desk.begin(work)
        except BadInput as problem:
            self._desk.tell(str(problem), grave=True)

    def _start_from(self, answers: tuple[str, ...]) -> str:
        try:
            turns = read_turns(answers[0])
        except ValueError as problem:
            return str(problem)
        if not 0 <= turns <= 100_000:
            return f"{turns:g} turns off, expected from 0 to 100000"
        chosen = None if self._shown is None else self._winding(self._shown)
        counted = chosen is not None and chosen.counted is not None and chosen.counted.how != "job file"
        self._count(again=counted, start=turns)
        return ""

    def _go_typed(self, answers: tuple[str, ...]) -> str:
        """What is no number is told by the one that counts, but a line that says so here is sooner."""
        try:
            turns = sum(read_turns(part) for part in answers[0].split("+"))
        except ValueError as problem:
            return str(problem)
        if turns == 0:
            return "0 turns, expected more than none, such as 84, 83.5, or -3 for turns taken back"
        said = [self._desk.say(GoTyped(part.strip())) for part in answers[0].split("+")]
        return "" if all(said) else NOT_AT_THE_BENCH

    def _use_counter(self, answers: tuple[str, ...]) -> str:
        if not answers[0]:
            return "expected PROFILE@PORT, a name of the bench file, or hand"
        self.counter = answers[0]
        self._offer()
        return ""

    def _counters(self) -> tuple[str, ...]:
        return (HAND, *(one.name for one in self._desk.bench.counter))

    # -- beside it ---------------------------------------------------------------------------------

    def _winding(self, shown: SurveyShown) -> WindingFound | None:
        row = self._face.overview.list.row
        if shown.survey is None or row is None:
            return None
        return next((one for one in shown.survey.windings if one.name == row.key and not one.search_coil), None)

    def _look_at(self, reading: bool) -> None:
        self._face.look_at_readings(reading)

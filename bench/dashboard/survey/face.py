"""The face of the stage survey."""

from __future__ import annotations

from enum import IntEnum
from pathlib import Path

from PySide6.QtWidgets import QStackedLayout, QWidget

from bench.dashboard.album.album_acts import AlbumActs
from bench.dashboard.desk import Desk
from bench.dashboard.parts.empty_page import EmptyPage
from bench.dashboard.parts.face import Face
from bench.dashboard.parts.paths import pictures_near
from bench.dashboard.state import Snapshot
from bench.dashboard.survey.acts import SurveyActs
from bench.dashboard.survey.off_page import OffPage
from bench.dashboard.survey.overview import Overview
from bench.dashboard.survey.reading_page import ReadingPage
from bench.dashboard.survey.reckoning import SurveyReckoning

__all__ = ["Page", "SurveyFace"]

_PICTURES = "pictures near the job"


class Page(IntEnum):
    """What of the survey is looked at."""

    OVERVIEW = 0
    READINGS = 1
    OFF = 2
    EMPTY = 3
    ALBUM = 4


class SurveyFace(Face):
    """What the unit as found says; while it is whole, its readings; while a winding comes off, its count."""

    def __init__(self, desk: Desk, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.overview, self.readings, self.off, self.empty = Overview(), ReadingPage(), OffPage(), EmptyPage()
        self._pages = QStackedLayout(self)
        self.album = AlbumActs(desk, self, self._turn, self._pictures)
        for page in (self.overview, self.readings, self.off, self.empty, self.album.page):
            self._pages.addWidget(page)
        self.reading = False
        self._desk = desk
        self.reckoning = SurveyReckoning(desk)
        self._acts_of = SurveyActs(desk, self)
        self._drawn: object = None

    @property
    def page(self) -> Page:
        return Page(self._pages.currentIndex())

    def show_state(self, state: Snapshot, now: float) -> None:
        if not self.isVisible():
            return  # nobody waits for it
        if self.album.is_open and not self._is_of_album(state):
            self.album.leave()
        if self.album.is_open:
            self.album.show_state(state)
            self._pages.setCurrentIndex(Page.ALBUM)
            self._drawn = None
            return
        shown = self.reckoning.follow(state, now)
        health = state.counter.health(now)
        problem = self.reckoning.problem
        drawn = (state, shown, health, self.reading, problem)
        if drawn == self._drawn:
            return
        self._drawn = drawn
        if state.job is None:
            self.empty.say("No job is open", "O opens a job file; turnproof new makes one.")
            self._pages.setCurrentIndex(Page.EMPTY)
        elif state.coming_off is not None:
            self.off.show_off(state.coming_off, health)
            self._pages.setCurrentIndex(Page.OFF)
        elif shown is None:
            self.empty.say("The survey can't be drawn" if problem else "Looking at the unit as found …", problem)
            self._pages.setCurrentIndex(Page.EMPTY)
        else:
            self.overview.show_survey(shown)
            if problem:
                self.overview.show_problem(problem)
            self.readings.show_survey(shown)
            self._pages.setCurrentIndex(Page.READINGS if self.reading else Page.OVERVIEW)
        self._acts_of.show_state(state, shown)

    def look_at_readings(self, reading: bool) -> None:
        """Or at what they say."""
        self.reading = reading
        self._drawn = None

    def _is_of_album(self, state: Snapshot) -> bool:
        """Whether its job is the one that is open, and no winding begins to come off."""
        return state.job is not None and state.job.identity.number == self.album.number and state.coming_off is None

    def _turn(self) -> None:
        """To the album, or back."""
        self._drawn = None

    def _pictures(self) -> tuple[str, ...]:
        found = self._desk.state.reckoned.get(_PICTURES)
        return () if found is None or found.value is None else found.value

    def arrived(self) -> None:
        self._acts_of.look_for_files()
        path = self._desk.state.path
        folders = [Path.cwd(), *([] if path is None else [path.parent])]
        self._desk.reckon(_PICTURES, lambda: pictures_near(*folders))

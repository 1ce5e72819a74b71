"""The user's guide: its pages and pictures, and how they are shown on a terminal or written as web pages."""

from bench.guide.pages import FOLDER, Page, page_named, pages

__all__ = ["FOLDER", "Page", "page_named", "pages"]

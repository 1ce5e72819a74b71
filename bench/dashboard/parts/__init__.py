"""Widgets and looks that every face is made of."""

"""The page settings."""

from __future__ import annotations

from flask import Blueprint, render_template

page = Blueprint("settings", __name__)


@page.get("/settings")
def show() -> str:
    """The page is being written."""
    return render_template("empty.html", room="settings")

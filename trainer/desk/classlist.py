"""The page classlist."""

from __future__ import annotations

from flask import Blueprint, render_template

page = Blueprint("classlist", __name__)


@page.get("/pupils")
def show() -> str:
    """The page is being written."""
    return render_template("empty.html", room="classlist")

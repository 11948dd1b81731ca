"""What the record holds of a child or a group, as a file for the family or another school."""

from __future__ import annotations

from flask import Blueprint

page = Blueprint("takeout", __name__)

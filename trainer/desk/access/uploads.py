"""What is handed in stays in memory: a list of children lies in no file of its own, not for a moment."""

from __future__ import annotations

from io import BytesIO
from typing import IO

from flask import Request


class MemoryRequest(Request):
    """A request whose files are kept in memory, whatever their size; the app bounds that."""

    def _get_file_stream(
        self,
        total_content_length: int | None,  # noqa: ARG002 (werkzeug hands them over)
        content_type: str | None,  # noqa: ARG002
        filename: str | None = None,  # noqa: ARG002
        content_length: int | None = None,  # noqa: ARG002
    ) -> IO[bytes]:
        return BytesIO()

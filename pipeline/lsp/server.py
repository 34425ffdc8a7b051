"""A language server: what a text editor asks about a chart, and what it is told.

Language Server Protocol 3.17. Texts are sent whole, so that editor and server never differ in
what a line is.
"""

from __future__ import annotations

import asyncio
from pathlib import Path
from urllib.parse import quote

from lsprotocol import types
from pygls.lsp.server import LanguageServer
from pygls.uris import from_fs_path, to_fs_path

from .. import __version__
from ..core.diagnostics import Diagnostic
from ..core.findings import Level
from ..core.source import Source, Span
from ..core.system import NO_MEMORY, is_shortage
from ..reports.codeunits import Units, offset_of, units_before
from .desk import Desk, examine
from .mentions import Mention, mention_at
from .outline import Outline

QUIET = 0.2  # seconds without typing after which a chart is examined

_SEVERITIES = {
    Level.ERROR: types.DiagnosticSeverity.Error,
    Level.WARNING: types.DiagnosticSeverity.Warning,
    Level.HINT: types.DiagnosticSeverity.Information,
}


class ChartServer(LanguageServer):
    """The server with the texts that are open in it."""

    def __init__(self) -> None:
        super().__init__(
            "linenleaf", __version__, text_document_sync_kind=types.TextDocumentSyncKind.Full
        )
        self.desk = Desk()
        self._uris: dict[Path, str] = {}  # of the open texts, as the editor names them
        self._versions: dict[Path, int | None] = {}
        self._told: set[Path] = set()  # files of which findings are shown
        self._due: set[Path] = set()
        self._typed = 0.0
        self._work: asyncio.Task[None] | None = None

    # --- texts ---

    def text_opened(self, uri: str, version: int | None, text: str) -> None:
        """Take a text that was opened, and examine it at once."""
        path = real_path(uri)
        self._uris[path], self._versions[path] = uri, version
        self.desk.put(path, text)
        self.examine_soon({path}, 0)

    def text_changed(self, uri: str, version: int | None, text: str) -> None:
        """Take a text that was changed, and examine what it takes part in when typing pauses."""
        path = real_path(uri)
        self._versions[path] = version
        self.desk.put(path, text)
        self.examine_soon(set(self.desk.charts_with(path)), QUIET)

    def text_closed(self, uri: str) -> None:
        """Forget a text; charts that use it are read from the file again."""
        path = real_path(uri)
        users = set(self.desk.charts_with(path)) - {path}
        self.desk.take_away(path)
        self._uris.pop(path, None)
        self._versions.pop(path, None)
        self._tell()
        self.examine_soon(users, 0)

    def files_changed(self, uris: list[str]) -> None:
        """Examine the charts that name files that were changed."""
        self.desk.forget_files()
        charts = {chart for uri in uris for chart in self.desk.charts_with(real_path(uri))}
        self.examine_soon(charts, QUIET)

    # --- findings ---

    def examine_soon(self, charts: set[Path], quiet: float) -> None:
        """Examine charts after so many seconds of quiet."""
        if not charts:
            return
        self._due |= charts
        self._typed = asyncio.get_running_loop().time() + quiet
        if self._work is None or self._work.done():
            self._work = asyncio.create_task(self._examine_due())

    async def _examine_due(self) -> None:
        clock = asyncio.get_running_loop()
        while self._due:
            while (left := self._typed - clock.time()) > 0:
                await asyncio.sleep(left)
            path = min(self._due)
            self._due.discard(path)
            if not self.desk.is_open(path):
                continue
            try:
                examination = await asyncio.to_thread(examine, path, self.desk.texts())
            except Exception as fault:  # a fault of ours must not end the session
                self._confess(path, fault)
                continue
            if path not in self._due:  # else it was changed meanwhile and is examined again
                self.desk.settle(examination)
                self._tell()

    def _confess(self, path: Path, fault: Exception) -> None:
        why = NO_MEMORY if is_shortage(fault) else f"a fault of its own ({fault!r})."
        message = f"linenleaf could not examine {path.name}: {why}"
        self.window_log_message(types.LogMessageParams(types.MessageType.Error, message))

    def _tell(self) -> None:
        findings = self.desk.findings()
        for path in sorted(self._told | findings.keys()):
            told = [self._diagnostic(each) for each in findings.get(path, ())]
            if told or path in self._told or self.desk.is_open(path):
                self.text_document_publish_diagnostics(
                    types.PublishDiagnosticsParams(self.uri(path), told, self._versions.get(path))
                )
        self._told = {path for path, each in findings.items() if each}

    def _diagnostic(self, finding: Diagnostic) -> types.Diagnostic:
        advice = [f"= {hint.message}" for hint in finding.hints if hint.span is None]
        second = [
            types.DiagnosticRelatedInformation(self.location(hint.span), hint.message)
            for hint in finding.hints
            if hint.span is not None
        ]
        start = types.Position(0, 0)
        return types.Diagnostic(
            range=self.range(finding.span) if finding.span else types.Range(start, start),
            message="\n".join([finding.message, *advice]),
            severity=_SEVERITIES[finding.level],
            code=finding.name,
            source="linenleaf",
            related_information=second or None,
        )

    # --- places ---

    @property
    def units(self) -> Units:
        """The units in which editor and server agreed to count columns."""
        return Units(self.server_capabilities.position_encoding or Units.UTF_16)

    def uri(self, path: Path) -> str:
        """Return the address of a file, as the editor gave it where it did."""
        return self._uris.get(path) or from_fs_path(str(path)) or ""

    def position(self, source: Source, offset: int) -> types.Position:
        """Return an offset as the editor counts."""
        return types.Position(*units_before(source, offset, self.units))

    def range(self, span: Span) -> types.Range:
        """Return a place as the editor counts."""
        return types.Range(
            self.position(span.source, span.start), self.position(span.source, span.end)
        )

    def location(self, span: Span) -> types.Location:
        """Return a place with its file."""
        return types.Location(self.uri(Path(span.path).resolve()), self.range(span))

    def look(
        self, document: types.TextDocumentIdentifier, at: types.Position
    ) -> tuple[Outline, int] | None:
        """Return what is defined in a text, with the offset of a place in it."""
        outline = self.outline(document)
        if outline is None:
            return None
        return outline, offset_of(outline.file.source, at.line, at.character, self.units)

    def outline(self, document: types.TextDocumentIdentifier) -> Outline | None:
        """Return what is defined in an open text."""
        return self.desk.outline(real_path(document.uri))

    def mention(
        self, document: types.TextDocumentIdentifier, at: types.Position
    ) -> tuple[Outline, Mention] | None:
        """Return the name at a place of a text."""
        looked = self.look(document, at)
        if looked is None:
            return None
        mention = mention_at(looked[0].file, looked[1])
        return None if mention is None else (looked[0], mention)


def real_path(uri: str) -> Path:
    """Return the real path of a document; one that is not saved yet lies in the current folder."""
    path = to_fs_path(uri) if uri.startswith("file:") else None
    named = path and "\0" not in path  # no file has such a name
    return Path(path if path and named else quote(uri, safe="")).resolve()

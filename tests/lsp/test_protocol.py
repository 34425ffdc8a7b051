"""`linenleaf editor` driven over its protocol by the client of pygls, as an editor would."""

from __future__ import annotations

import asyncio
import sys
from collections.abc import AsyncIterator, Callable, Coroutine, Iterator, Sequence
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from click.testing import CliRunner
from linenleaf.cli import main
from linenleaf.core.installed import to_add
from linenleaf.core.source import Source
from linenleaf.formatting.tidy import tidy
from linenleaf.lsp.server import real_path
from lsprotocol import types
from pygls.lsp.client import LanguageClient

from tests.lsp.marked import MARKS, SOUND, at
from tests.patience import PATIENCE
from tests.sources import folder_with

DEMO = (
    Path(__file__).resolve().parents[2] / "examples" / "saltmarsh-bands" / "saltmarsh-bands.linen"
)
# That of an editor which tells of files that change on the disk.
WATCHING = types.ClientCapabilities(
    workspace=types.WorkspaceClientCapabilities(
        did_change_watched_files=types.DidChangeWatchedFilesClientCapabilities(True)
    )
)
SIZES = {"utf-8": 1, "utf-16": 2}  # bytes of a unit


class Editor:
    """A text editor with charts open in it."""

    def __init__(self, client: LanguageClient) -> None:
        self.client = client
        self.told: list[types.PublishDiagnosticsParams] = []
        self.logged: list[str] = []
        self.registered: list[str] = []
        self.version = 0
        self.capabilities: types.ServerCapabilities | None = None

    def open(self, uri: str, text: str) -> types.TextDocumentIdentifier:
        self.version += 1
        document = types.TextDocumentItem(uri, "linen", self.version, text)
        self.client.text_document_did_open(types.DidOpenTextDocumentParams(document))
        return types.TextDocumentIdentifier(uri)

    def type(self, document: types.TextDocumentIdentifier, text: str) -> int:
        self.version += 1
        self.client.text_document_did_change(
            types.DidChangeTextDocumentParams(
                types.VersionedTextDocumentIdentifier(self.version, document.uri),
                [types.TextDocumentContentChangeWholeDocument(text)],
            )
        )
        return self.version

    async def hover(
        self, document: types.TextDocumentIdentifier, spot: types.Position
    ) -> types.Hover | None:
        return await self.client.text_document_hover_async(types.HoverParams(document, spot))

    async def definition(
        self, document: types.TextDocumentIdentifier, spot: types.Position
    ) -> types.Location | None:
        asked = types.DefinitionParams(document, spot)
        return await self.client.text_document_definition_async(asked)

    async def completion(
        self, document: types.TextDocumentIdentifier, spot: types.Position
    ) -> types.CompletionList:
        asked = types.CompletionParams(document, spot)
        return await self.client.text_document_completion_async(asked)

    async def colours(
        self, document: types.TextDocumentIdentifier
    ) -> Sequence[types.ColorInformation]:
        asked = types.DocumentColorParams(document)
        return await self.client.text_document_document_color_async(asked)

    def findings(self, uri: str) -> types.PublishDiagnosticsParams | None:
        return next((each for each in reversed(self.told) if each.uri == uri), None)

    async def wait(self, done: Callable[[], object]) -> None:
        async with asyncio.timeout(PATIENCE):
            while not done():
                await asyncio.sleep(0.005)

    async def examined(self, document: types.TextDocumentIdentifier) -> Sequence[types.Diagnostic]:
        """The findings of the text as it was typed last."""

        def there() -> bool:
            found = self.findings(document.uri)
            return found is not None and found.version == self.version

        await self.wait(there)
        return self.findings(document.uri).diagnostics


@asynccontextmanager
async def editor(
    folder: Path, capabilities: types.ClientCapabilities | None = None
) -> AsyncIterator[Editor]:
    client = LanguageClient("test", "1")
    made = Editor(client)

    @client.feature(types.TEXT_DOCUMENT_PUBLISH_DIAGNOSTICS)
    def tell(findings: types.PublishDiagnosticsParams) -> None:
        made.told.append(findings)

    @client.feature(types.WINDOW_LOG_MESSAGE)
    @client.feature(types.WINDOW_SHOW_MESSAGE)
    def log(message: types.LogMessageParams | types.ShowMessageParams) -> None:
        made.logged.append(message.message)

    @client.feature(types.CLIENT_REGISTER_CAPABILITY)
    def register(asked: types.RegistrationParams) -> None:
        made.registered.extend(each.method for each in asked.registrations)

    await client.start_io(sys.executable, "-m", "linenleaf", "editor", "--stdio", cwd=folder)
    answer = await asyncio.wait_for(
        client.initialize_async(
            types.InitializeParams(capabilities=capabilities or types.ClientCapabilities())
        ),
        PATIENCE,
    )
    made.capabilities = answer.capabilities
    client.initialized(types.InitializedParams())
    yield made
    await asyncio.wait_for(client.shutdown_async(None), PATIENCE)
    client.exit(None)
    assert await asyncio.wait_for(client._server.wait(), PATIENCE) == 0
    await client.stop()
    assert made.logged == []


def run(session: Coroutine[object, object, None]) -> None:
    asyncio.run(session)


@pytest.fixture(scope="module")
def in_editor(
    tmp_path_factory: pytest.TempPathFactory,
) -> Iterator[Callable[[Callable[[Editor], Coroutine[object, object, None]]], None]]:
    """Carries out what is done in an editor, the same for all; each test opens its own charts."""
    with asyncio.Runner() as runner:
        context = editor(tmp_path_factory.mktemp("editor"), WATCHING)
        opened = runner.run(context.__aenter__())
        yield lambda session: runner.run(session(opened))
        runner.run(context.__aexit__(None, None, None))


def place(text: str, offset: int) -> types.Position:
    """A place in a text of plain letters."""
    return types.Position(text.count("\n", 0, offset), offset - text.rfind("\n", 0, offset) - 1)


def marked(text: str, span: types.Range, encoding: str = "utf-16") -> str:
    """The text at a place, cut out by the units of the encoding."""
    name, size = (
        (encoding, 1) if encoding == "utf-8" else (f"{encoding}-le", int(encoding[4:]) // 8)
    )
    assert span.start.line == span.end.line
    line = text.replace("\r\n", "\n").split("\n")[span.start.line].encode(name)
    return line[span.start.character * size : span.end.character * size].decode(name)


def test_findings_come_while_typing_and_go(tmp_path, in_editor):
    async def session(open_editor: Editor) -> None:
        path = folder_with(tmp_path, SOUND)
        document = open_editor.open(path.as_uri(), SOUND)
        found = await open_editor.examined(document)
        assert {each.severity for each in found} <= {types.DiagnosticSeverity.Information}
        wrong = SOUND.replace("boat at 2,10", "bote at 2,10").replace("tuft at 30", "tuft at 99")
        open_editor.type(document, wrong)
        [finding] = await open_editor.examined(document)
        assert marked(wrong, finding.range) == "bote"
        assert finding.code == "unknown-motif"
        assert finding.source == "linenleaf"
        assert finding.severity == types.DiagnosticSeverity.Error
        assert finding.message == "There is no motif `bote`.\n= did you mean `boat`?"
        open_editor.type(document, SOUND)
        assert await open_editor.examined(document) == found

    in_editor(session)


def test_a_second_place_is_handed_on(tmp_path, in_editor):
    async def session(open_editor: Editor) -> None:
        path = folder_with(tmp_path, SOUND)
        wrong = SOUND.replace("motif tuft 2 x 1", "motif boat 2 x 1")
        document = open_editor.open(path.as_uri(), wrong)
        found = await open_editor.examined(document)
        [twice] = [each for each in found if each.code == "duplicate-motif"]
        [second] = twice.related_information
        assert second.location.uri == path.as_uri()
        assert second.location.range.start.line < twice.range.start.line

    in_editor(session)


def test_files_that_a_chart_uses_are_taken_as_they_are_typed(tmp_path, in_editor):
    async def session(open_editor: Editor) -> None:
        path = folder_with(tmp_path, SOUND)
        marks = path.with_name("marks.linen").as_uri()
        chart = open_editor.open(path.as_uri(), SOUND)
        await open_editor.examined(chart)
        letters = open_editor.open(marks, MARKS)
        assert not await open_editor.examined(letters)
        wrong = MARKS.replace("|mm|", "|mQ|", 1)
        open_editor.type(letters, wrong)
        await open_editor.wait(lambda: open_editor.findings(marks).diagnostics)
        [finding] = open_editor.findings(marks).diagnostics
        assert marked(wrong, finding.range) == "Q"
        close = types.DidCloseTextDocumentParams(letters)
        open_editor.client.text_document_did_close(close)  # not saved: the file is as it was
        await open_editor.wait(lambda: not open_editor.findings(marks).diagnostics)

    in_editor(session)


def test_a_file_changed_on_the_disk_is_read_again(tmp_path, in_editor):
    async def session(open_editor: Editor) -> None:
        path = folder_with(tmp_path, SOUND)
        document = open_editor.open(path.as_uri(), SOUND)
        await open_editor.examined(document)
        await open_editor.wait(lambda: open_editor.registered)
        assert open_editor.registered == [types.WORKSPACE_DID_CHANGE_WATCHED_FILES]
        shore = path.with_name("shore.csv")
        shore.write_text(shore.read_text("utf-8").replace("58,rope", "59,rope"), "utf-8")
        change = types.FileEvent(shore.as_uri(), types.FileChangeType.Changed)
        open_editor.client.workspace_did_change_watched_files(
            types.DidChangeWatchedFilesParams([change])
        )
        await open_editor.wait(
            lambda: (
                "unknown-thread"
                in {each.code for each in open_editor.findings(document.uri).diagnostics}
            )
        )

    in_editor(session)


def test_hover_definition_completion_and_colours(tmp_path, in_editor):
    async def session(open_editor: Editor) -> None:
        path = folder_with(tmp_path, SOUND)
        client = open_editor.client
        document = open_editor.open(path.as_uri(), SOUND)
        await open_editor.examined(document)
        on_symbol = place(SOUND, at("|m=¦+=m|"))
        hover = await open_editor.hover(document, on_symbol)
        assert hover.contents.kind == types.MarkupKind.Markdown
        assert "madder `#aa3344`\n\n4 crosses" in hover.contents.value
        assert marked(SOUND, hover.range) == "+"
        on_dot = place(SOUND, at("|¦.m.m.|"))
        assert await open_editor.hover(document, on_dot) is None

        on_name = place(SOUND, at("in mar¦ks"))
        led = await open_editor.definition(document, on_name)
        assert led.uri == path.with_name("marks.linen").as_uri()
        assert marked(MARKS, led.range) == "marks"

        text = SOUND.replace("key\n", "key\n  q  shore 3\n")
        open_editor.type(document, text)
        behind = types.Position(text[: text.index("  q")].count("\n"), len("  q  shore 3"))
        offered = await open_editor.completion(document, behind)
        item = next(each for each in offered.items if each.label == "31")
        assert item.detail == "wrack #3f4a2c"
        assert (item.text_edit.new_text, marked(text, item.text_edit.range)) == ("31", "3")

        open_editor.type(document, SOUND)
        colours = await open_editor.colours(document)
        shown = {marked(SOUND, each.range): each.color for each in colours}
        assert shown["#aa3344"] == types.Color(0xAA / 255, 0x33 / 255, 0x44 / 255, 1.0)
        assert shown["47"] == types.Color(0x6B / 255, 0x5A / 255, 0x4A / 255, 1.0)
        [own] = [each for each in colours if marked(SOUND, each.range) == "#aa3344"]
        [thread] = [
            each
            for each in colours
            if marked(SOUND, each.range) == "47" and each.range.start.line > 30
        ]
        for one, labels in ((own, ["#3366cc"]), (thread, [])):
            chosen = types.ColorPresentationParams(
                document, types.Color(0.2, 0.4, 0.8, 1.0), one.range
            )
            found = await client.text_document_color_presentation_async(chosen)
            assert [each.label for each in found] == labels
        listed = await client.text_document_document_symbol_async(
            types.DocumentSymbolParams(document)
        )
        assert ("boat", "motif 5 x 3") in [(each.name, each.detail) for each in listed]

    in_editor(session)


def test_tidying_is_offered_as_small_edits(tmp_path, in_editor):
    untidy = SOUND.replace("  boat at 2,10", "      boat    at 2,10").replace("e\u0301", "e\u0301")
    untidy = untidy.replace("The line.", "The lin\u0065\u0301.")  # an accent in two characters

    async def session(open_editor: Editor) -> None:
        path = folder_with(tmp_path, untidy)
        document = open_editor.open(path.as_uri(), untidy)
        options = types.FormattingOptions(2, insert_spaces=True)
        asked = types.DocumentFormattingParams(document, options)
        edits = await open_editor.client.text_document_formatting_async(asked)
        expected, _ = tidy(Source("x", untidy.replace("e\u0301", "\u00e9")))
        assert applied(untidy, edits) == expected
        open_editor.type(document, expected)
        assert not await open_editor.client.text_document_formatting_async(asked)
        open_editor.type(document, untidy + "motif ??\n")
        assert await open_editor.client.text_document_formatting_async(asked) is None

    in_editor(session)


def applied(text: str, edits: Sequence[types.TextEdit]) -> str:
    """The text with edits made as the protocol tells: places are those before any edit."""
    lines = text.split("\n")
    starts = [sum(len(line) + 1 for line in lines[:number]) for number in range(len(lines))]

    def offset(position: types.Position) -> int:
        line = lines[position.line].encode("utf-16-le")[: 2 * position.character]
        return starts[position.line] + len(line.decode("utf-16-le"))

    for each in sorted(edits, key=lambda each: offset(each.range.start), reverse=True):
        text = text[: offset(each.range.start)] + each.new_text + text[offset(each.range.end) :]
    return text


STRANGE = (
    SOUND.replace("left + ", "left PLUS ")
    .replace("+", "\U0001f41f")
    .replace("PLUS", "+")
    .replace("boat", "bo\u0065\u0301t")
    .replace("tuft at 30,20", 'text "e\u0301\U0001f41f" in nowhere at 1,1')
    .replace("\n", "\r\n")
)


@pytest.mark.parametrize("encoding", SIZES)
def test_places_are_counted_as_was_agreed(tmp_path, in_editor, encoding):
    async def session(open_editor: Editor) -> None:
        assert open_editor.capabilities.position_encoding == encoding
        path = folder_with(tmp_path, SOUND)
        document = open_editor.open(path.as_uri(), STRANGE)
        found = await open_editor.examined(document)
        assert [marked(STRANGE, each.range, encoding) for each in found if each.severity == 1] == [
            "nowhere"
        ]
        name = encoding if encoding == "utf-8" else f"{encoding}-le"
        for line, before, shown, hovered, led in (
            ("|m=\U0001f41f=m|", "|m=\U0001f41f", "=", "shore 31", "="),
            ("|m=\U0001f41f=m|", "|m=", "\U0001f41f", "madder", "\U0001f41f"),
            ("  boe\u0301t x 3", "  boe\u0301", "boe\u0301t", "5 x 3", "boe\u0301t"),
        ):
            number = next(at for at, each in enumerate(STRANGE.split("\r\n")) if line in each)
            whole = STRANGE.split("\r\n")[number]
            start = whole[: whole.index(line)] + before
            spot = types.Position(number, len(start.encode(name)) // SIZES[encoding])
            hover = await open_editor.hover(document, spot)
            assert hovered in hover.contents.value
            assert marked(STRANGE, hover.range, encoding) == shown
            location = await open_editor.definition(document, spot)
            assert marked(STRANGE, location.range, encoding) == led

    async def another() -> None:
        agreed = types.ClientCapabilities(
            general=types.GeneralClientCapabilities(position_encodings=[encoding])
        )
        async with editor(tmp_path, agreed) as open_editor:
            await session(open_editor)

    if encoding == "utf-16":  # what holds where nothing is said of it
        in_editor(session)
    else:
        asyncio.run(another())


def test_whatever_is_typed_the_session_goes_on(tmp_path, in_editor):
    async def session(open_editor: Editor) -> None:
        path = folder_with(tmp_path, SOUND)
        document = open_editor.open(path.as_uri(), "")
        for text in (
            "\x00",
            "\ud83d",
            "linen 1\r\rkey\r",
            "|" * 500,
            '"',
            "linen 9\n",
            "\u2028\x85\x0b",
            SOUND[:200],
            "linen 1\n" + "motif a-b 3 x 3\n" * 300,
            "use chart.linen\n" * 3,
        ):
            open_editor.type(document, text)
            spot = types.Position(3, 900)
            await open_editor.hover(document, spot)
            await open_editor.completion(document, types.Position(0, 0))
            await open_editor.definition(document, spot)
            await open_editor.colours(document)
            assert await open_editor.examined(document)
        nowhere = types.TextDocumentIdentifier("file:///not/open.linen")
        assert await open_editor.hover(nowhere, spot) is None
        unsaved = open_editor.open(
            "untitled:Untitled-1", SOUND.replace("use marks.linen", "use m.linen")
        )
        [finding, *_] = await open_editor.examined(unsaved)
        assert finding.code == "missing-file"

    in_editor(session)


def test_while_typing_goes_on_nothing_is_examined(tmp_path, in_editor):
    async def session(open_editor: Editor) -> None:
        path = folder_with(tmp_path, SOUND)
        document = open_editor.open(path.as_uri(), SOUND)
        await open_editor.examined(document)
        before = len(open_editor.told)
        for number in range(30):
            open_editor.type(document, SOUND + "#" * number)
            await asyncio.sleep(0.01)
        await open_editor.examined(document)
        # Of the charts that other tests opened the same is told each time.
        told = [each for each in open_editor.told[before:] if each.uri == document.uri]
        assert len(told) < 10

    in_editor(session)


def test_without_the_package_a_plain_message_tells_what_to_do(monkeypatch):
    for name in [each for each in sys.modules if each.startswith(("pygls", "linenleaf.lsp."))]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, "pygls", None)
    done = CliRunner().invoke(main, ["editor", "--stdio"])
    assert done.exit_code == 2
    assert done.output.splitlines()[-1] == to_add("editor")
    assert "Traceback" not in done.output


def test_started_by_hand_it_says_what_it_is_for(monkeypatch):
    monkeypatch.setattr(
        "linenleaf.commands.editor.sys.stdin", type("", (), {"isatty": lambda _: True})()
    )
    with pytest.raises(SystemExit) as left:
        main.get_command(None, "editor").callback(stdio=False)
    assert left.value.code == 2


def test_a_name_that_no_file_has_stands_for_a_document_that_is_not_saved():
    assert real_path("file:///shore/%00.linen").name == "file%3A%2F%2F%2Fshore%2F%2500.linen"

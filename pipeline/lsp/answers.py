"""What the language server answers to each request of an editor."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from itertools import accumulate, takewhile

from lsprotocol import types

from ..core.source import Source
from ..formatting.tidy import tidy
from .completion import Choice, Offer, complete
from .hover import hover
from .outline import contents, swatches
from .server import ChartServer, real_path

MOST_COMPARED = 1_000  # lines that differ; more are changed as a whole


@dataclass(frozen=True)
class Edit:
    """The characters from start up to, not including, end give way to a text."""

    start: int
    end: int
    text: str


def edits(before: str, after: str) -> Iterator[Edit]:
    """Give the edits that turn one text into the other, line by line, from first to last."""
    old, new = _lines(before), _lines(after)
    first = _alike(old, new)
    last = min(_alike(old[::-1], new[::-1]), min(len(old), len(new)) - first)
    starts = [0, *accumulate(map(len, old))]
    end, new_end = len(old) - last, len(new) - last
    if max(end, new_end) - first > MOST_COMPARED:
        yield Edit(starts[first], starts[end], "".join(new[first:new_end]))
        return
    matcher = SequenceMatcher(None, old[first:end], new[first:new_end], autojunk=False)
    for what, a, b, c, d in matcher.get_opcodes():
        if what != "equal":
            text = "".join(new[first + c : first + d])
            yield Edit(starts[first + a], starts[first + b], text)


def _lines(text: str) -> list[str]:
    *lines, last = text.split("\n")
    return [*(f"{line}\n" for line in lines), last]


def _alike(old: Sequence[str], new: Sequence[str]) -> int:
    """Return how many lines at the beginning are the same."""
    same = takewhile(lambda pair: pair[0] == pair[1], zip(old, new, strict=False))
    return sum(1 for _ in same)


_KINDS = {
    Offer.WORD: types.CompletionItemKind.Keyword,
    Offer.MOTIF: types.CompletionItemKind.Class,
    Offer.ALPHABET: types.CompletionItemKind.Class,
    Offer.THING: types.CompletionItemKind.Variable,
    Offer.RANGE: types.CompletionItemKind.Module,
    Offer.THREAD: types.CompletionItemKind.Color,
    Offer.SYMBOL: types.CompletionItemKind.Constant,
    Offer.SHAPE: types.CompletionItemKind.EnumMember,
    Offer.STOCK: types.CompletionItemKind.Module,
    Offer.FILE: types.CompletionItemKind.File,
}
_LISTED = {
    "key": types.SymbolKind.Key,
    "range": types.SymbolKind.Module,
    "motif": types.SymbolKind.Class,
    "alphabet": types.SymbolKind.Class,
    "chart": types.SymbolKind.Object,
    "colourway": types.SymbolKind.Module,
}
_WATCHED = "**/*.{linen,csv,md,png,jpg,jpeg}"


def chart_server() -> ChartServer:
    """Return a server that answers everything it can."""
    server = ChartServer()
    _watch_texts(server)
    _answer(server)
    return server


def _watch_texts(server: ChartServer) -> None:
    @server.feature(types.TEXT_DOCUMENT_DID_OPEN)
    def opened(params: types.DidOpenTextDocumentParams) -> None:
        document = params.text_document
        server.text_opened(document.uri, document.version, document.text)

    @server.feature(types.TEXT_DOCUMENT_DID_CHANGE)
    def changed(params: types.DidChangeTextDocumentParams) -> None:
        document = params.text_document
        text = server.workspace.get_text_document(document.uri).source
        server.text_changed(document.uri, document.version, text)

    @server.feature(types.TEXT_DOCUMENT_DID_CLOSE)
    def closed(params: types.DidCloseTextDocumentParams) -> None:
        server.text_closed(params.text_document.uri)

    @server.feature(types.TEXT_DOCUMENT_DID_SAVE)
    def saved(params: types.DidSaveTextDocumentParams) -> None:
        server.files_changed([params.text_document.uri])

    @server.feature(types.WORKSPACE_DID_CHANGE_WATCHED_FILES)
    def files_changed(params: types.DidChangeWatchedFilesParams) -> None:
        server.files_changed([change.uri for change in params.changes])

    @server.feature(types.INITIALIZED)
    async def initialized(_params: types.InitializedParams) -> None:
        workspace = server.client_capabilities.workspace
        watching = workspace and workspace.did_change_watched_files
        if watching and watching.dynamic_registration:
            options = types.DidChangeWatchedFilesRegistrationOptions(
                [types.FileSystemWatcher(_WATCHED)]
            )
            files = types.Registration("files", types.WORKSPACE_DID_CHANGE_WATCHED_FILES, options)
            await server.client_register_capability_async(types.RegistrationParams([files]))


def _answer(server: ChartServer) -> None:
    @server.feature(types.TEXT_DOCUMENT_HOVER)
    def hovered(params: types.HoverParams) -> types.Hover | None:
        named = server.mention(params.text_document, params.position)
        if named is None:
            return None
        outline, mention = named
        tally = server.desk.tally(real_path(params.text_document.uri))
        text = hover(mention, outline, tally)
        if text is None:
            return None
        content = types.MarkupContent(types.MarkupKind.Markdown, text)
        return types.Hover(content, server.range(mention.span))

    @server.feature(types.TEXT_DOCUMENT_DEFINITION)
    def defined(params: types.DefinitionParams) -> types.Location | None:
        named = server.mention(params.text_document, params.position)
        if named is None:
            return None
        outline, mention = named
        with server.desk.as_typed():
            file = outline.file_named(mention)
        if file is not None:
            start = types.Position(0, 0)
            return types.Location(server.uri(file), types.Range(start, start))
        span = outline.definition(mention)
        return None if span is None else server.location(span)

    @server.feature(types.TEXT_DOCUMENT_COMPLETION)
    def completed(params: types.CompletionParams) -> types.CompletionList:
        looked = server.look(params.text_document, params.position)
        completion = complete(*looked) if looked is not None else None
        if looked is None or completion is None:
            return types.CompletionList(is_incomplete=False, items=[])
        source, offset = looked[0].file.source, looked[1]
        place = types.Range(
            server.position(source, completion.start), server.position(source, offset)
        )
        items = [_item(number, each, place) for number, each in enumerate(completion.choices)]
        return types.CompletionList(is_incomplete=False, items=items)

    @server.feature(types.TEXT_DOCUMENT_FORMATTING)
    def formatted(params: types.DocumentFormattingParams) -> list[types.TextEdit] | None:
        source = server.desk.source(real_path(params.text_document.uri))
        text = tidy(source)[0] if source is not None else None
        if source is None or text is None:
            return None  # the findings say which lines cannot be read
        return list(_text_edits(server, source.as_written, text))

    @server.feature(types.TEXT_DOCUMENT_DOCUMENT_SYMBOL)
    def listed(params: types.DocumentSymbolParams) -> list[types.DocumentSymbol]:
        outline = server.outline(params.text_document)
        return [
            types.DocumentSymbol(
                name=each.name,
                kind=_LISTED[each.word],
                range=server.range(each.whole),
                selection_range=server.range(each.head),
                detail=" ".join(filter(None, (each.word, each.size))),
            )
            for each in (contents(outline.file) if outline is not None else ())
        ]

    @server.feature(types.TEXT_DOCUMENT_DOCUMENT_COLOR)
    def coloured(params: types.DocumentColorParams) -> list[types.ColorInformation]:
        outline = server.outline(params.text_document)
        return [
            types.ColorInformation(server.range(each.span), _colour(each.colour))
            for each in (swatches(outline) if outline is not None else ())
        ]

    @server.feature(types.TEXT_DOCUMENT_COLOR_PRESENTATION)
    def recoloured(params: types.ColorPresentationParams) -> list[types.ColorPresentation]:
        # A thread's colour is that of the thread; only one that is written out can be changed.
        outline = server.outline(params.text_document)
        written = [
            each
            for each in (swatches(outline) if outline is not None else ())
            if each.written and server.range(each.span).start == params.range.start
        ]
        parts = (params.color.red, params.color.green, params.color.blue)
        label = "#" + "".join(f"{round(255 * part):02x}" for part in parts)
        return [types.ColorPresentation(label) for _ in written]


def _item(number: int, choice: Choice, place: types.Range) -> types.CompletionItem:
    return types.CompletionItem(
        label=choice.text,
        kind=_KINDS[choice.offer],
        detail=choice.detail or None,
        sort_text=f"{number:05}",
        filter_text=choice.found_by or None,
        text_edit=types.TextEdit(place, choice.text),
    )


def _text_edits(server: ChartServer, source: Source, text: str) -> Iterator[types.TextEdit]:
    for edit in edits(source.text, text):
        place = server.range(source.span(edit.start, edit.end))
        yield types.TextEdit(place, edit.text)


def _colour(written: str) -> types.Color:
    red, green, blue = (int(written[at : at + 2], 16) / 255 for at in (1, 3, 5))
    return types.Color(red, green, blue, 1.0)

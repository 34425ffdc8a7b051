"""When files change: events from watchdog, and what files look like on the disk.

watchdog needs no other package, lets the watched folders change while it runs and knows the
interfaces of Linux, macOS, the BSDs and Windows. Folders are watched, not files: editors write
another file and give it the name of the old one, and a file may not be there yet.

Events of the file system only say when to look: they may be lost, doubled or late, and they are
silent on some network disks. The stamps say whether anything is different.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path

from watchdog.events import (
    DirCreatedEvent,
    DirDeletedEvent,
    DirMovedEvent,
    FileClosedEvent,
    FileCreatedEvent,
    FileDeletedEvent,
    FileModifiedEvent,
    FileMovedEvent,
    FileSystemEvent,
    FileSystemEventHandler,
)
from watchdog.observers import Observer
from watchdog.observers.api import BaseObserver, ObservedWatch

FileStamp = tuple[int, int, int, int] | None  # None: not there


def stamp(path: Path) -> FileStamp:
    """Return what tells one content of a file from the next: inode, size and the two times.

    The time of the last change of state is among them, for a file may be copied over with the
    time of its original.
    """
    try:
        state = path.stat()
    except (OSError, ValueError):
        return None
    return (state.st_ino, state.st_size, state.st_mtime_ns, state.st_ctime_ns)


def stamps(paths: Iterable[Path]) -> dict[Path, FileStamp]:
    """Return the stamp of each file."""
    return {path: stamp(path) for path in paths}


def folders(paths: Iterable[Path]) -> frozenset[Path]:
    """Return the folders in which these files lie, or would lie.

    Of a folder that is not there, the nearest above it that is.
    """
    return frozenset(_nearest(path.absolute().parent) for path in paths)


def _nearest(folder: Path) -> Path:
    while not folder.is_dir() and folder != folder.parent:
        folder = folder.parent
    return folder


# Not those of opening and reading: these are our own.
_KINDS: list[type[FileSystemEvent]] = [
    FileCreatedEvent,
    FileModifiedEvent,
    FileMovedEvent,
    FileDeletedEvent,
    FileClosedEvent,
    DirCreatedEvent,
    DirMovedEvent,
    DirDeletedEvent,
]


class _Waker(FileSystemEventHandler):
    def __init__(self, wake: Callable[[], object]) -> None:
        self._wake = wake

    def on_any_event(self, event: FileSystemEvent) -> None:  # noqa: ARG002
        self._wake()


class FolderEvents:
    """Calls `wake`, from another thread, when something happens in one of some folders.

    deaf: whether the system grants no more events (it has limits); then one must look more often.
    """

    def __init__(self, wake: Callable[[], object]) -> None:
        self._waker = _Waker(wake)
        self._watched: dict[Path, tuple[int, ObservedWatch]] = {}
        self._observer: BaseObserver | None = Observer()
        self.deaf = False
        try:
            self._observer.start()
        except OSError:
            self._observer, self.deaf = None, True

    def follow(self, folders: frozenset[Path]) -> None:
        """Watch these folders and no others; one that was made anew is watched anew."""
        if self._observer is None:
            return
        inodes = {folder: _inode(folder) for folder in folders}
        for folder, (known, watch) in list(self._watched.items()):
            if inodes.get(folder) != known:
                del self._watched[folder]
                self._observer.unschedule(watch)
        self.deaf = False
        for folder, inode in inodes.items():
            if inode is not None and folder not in self._watched:
                try:
                    watch = self._observer.schedule(self._waker, str(folder), event_filter=_KINDS)
                except OSError:
                    self.deaf = True
                else:
                    self._watched[folder] = (inode, watch)

    def close(self) -> None:
        """End the watching."""
        if self._observer is not None:
            self._observer.stop()
            self._observer.join()


def _inode(folder: Path) -> int | None:
    try:
        return folder.stat().st_ino
    except OSError:
        return None

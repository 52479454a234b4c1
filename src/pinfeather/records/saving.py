"""Saving so that a file is always whole: the old one or the new one, whatever happens in between."""

from __future__ import annotations

import contextlib
import os
import stat
import tempfile
from pathlib import Path

from pinfeather.errors import RecordError


def save(path: str | os.PathLike[str], content: bytes) -> None:
    """Write a file beside its place, force it to the disk, and only then put it in its place.

    Parameters
    ----------
    path : path
        Where to; a link is followed, and an existing file keeps its permissions.
    content : bytes
        The whole content.

    Raises
    ------
    RecordError
        If the file cannot be written; the old one is then as it was.
    """
    # The real path, so that a link stays a link to the new content.
    target = Path(os.path.realpath(path))
    try:
        handle, name = tempfile.mkstemp(prefix=f".{target.name}.", suffix=".part", dir=target.parent)
    except OSError as error:
        raise _unwritten(path, error) from error
    beside = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        beside.chmod(_permissions(target))
        beside.replace(target)
        _sync_directory(target.parent)
    except OSError as error:
        raise _unwritten(path, error) from error
    finally:
        beside.unlink(missing_ok=True)


def _permissions(target: Path) -> int:
    """Those of the file that is replaced, or those that any new file would get."""
    if target.exists():
        return stat.S_IMODE(target.stat().st_mode)
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def _sync_directory(directory: Path) -> None:
    """Make the new name last through a power cut; not every system lets one ask for it."""
    with contextlib.suppress(OSError):
        handle = os.open(directory, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def load(path: str | os.PathLike[str]) -> bytes:
    """The content of a file; one that cannot be read is a RecordError that says why."""
    try:
        return Path(path).read_bytes()
    except OSError as error:
        message = f"cannot read {os.fspath(path)}: {error.strerror or error}"
        raise RecordError(message, problems=(), path=os.fspath(path)) from error


def _unwritten(path: str | os.PathLike[str], error: OSError) -> RecordError:
    message = f"cannot write {os.fspath(path)}: {error.strerror or error}; what was there before is untouched"
    return RecordError(message, problems=(), path=os.fspath(path))

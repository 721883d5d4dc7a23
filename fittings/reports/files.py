"""Writing a file so that nobody ever finds half of it."""

import contextlib
import errno
import os
import stat
import tempfile

UNFINISHED = ".unfinished"
"""Ending of the hidden file beside the target, which only a killed process leaves behind."""


def write_whole(path: str, content: str | bytes) -> None:
    """Write text or bytes to a file, all of it or nothing: it is written beside the file first and then put in its place.

    A link keeps pointing where it pointed, a file that is there keeps its rights and its owner; what is no file (a pipe,
    a device) is written into and never replaced. Raises OSError when it cannot be written or is write-protected.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_whole(os.path.join(folder, "a.svg"), "<svg/>")
    ...     os.listdir(folder)
    ['a.svg']
    """
    whole = content.encode("utf-8") if isinstance(content, str) else content
    target = os.path.realpath(path)
    try:
        old = os.stat(path)
    except FileNotFoundError:
        old = None
    if old is not None and not stat.S_ISREG(old.st_mode):
        with open(path, "wb") as file:
            file.write(whole)
        return
    if old is not None and not os.access(target, os.W_OK):
        raise PermissionError(errno.EACCES, "the file that is there is write-protected", path)
    handle, beside = tempfile.mkstemp(
        prefix=f".{os.path.basename(target)[:20]}.", suffix=UNFINISHED, dir=os.path.dirname(target))
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(whole)
            file.flush()
            os.fsync(file.fileno())
        _rights(beside, old)
        os.replace(beside, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(beside)
        raise


def _rights(beside: str, old: os.stat_result | None) -> None:
    """Rights and owner of the file that is replaced, else the rights that a new file gets here."""
    if old is None:
        mask = os.umask(0)
        os.umask(mask)
        os.chmod(beside, 0o666 & ~mask)
        return
    if hasattr(os, "chown"):
        with contextlib.suppress(OSError):  # only the owner of the machine may give a file away
            os.chown(beside, old.st_uid, old.st_gid)
    os.chmod(beside, stat.S_IMODE(old.st_mode) & 0o777)

"""Writing a file so that nobody ever finds half of it."""

import contextlib
import os
import tempfile


def write_whole(path: str, content: str | bytes) -> None:
    """Write text or bytes to a file, all of it or nothing: it is written beside the file first and then put in its place.

    Raises OSError when the folder is not there or must not be written to.

    >>> import tempfile
    >>> with tempfile.TemporaryDirectory() as folder:
    ...     write_whole(os.path.join(folder, "a.svg"), "<svg/>")
    ...     os.listdir(folder)
    ['a.svg']
    """
    target = os.path.realpath(path)
    handle, beside = tempfile.mkstemp(prefix=".", suffix=os.path.basename(target)[-20:], dir=os.path.dirname(target))
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content.encode("utf-8") if isinstance(content, str) else content)
            file.flush()
            os.fsync(file.fileno())
        os.chmod(beside, _mode(target))
        os.replace(beside, target)
    except BaseException:
        with contextlib.suppress(OSError):
            os.unlink(beside)
        raise


def _mode(target: str) -> int:
    """Rights of the file that is replaced, else those that a new file gets here."""
    try:
        return os.stat(target).st_mode & 0o777
    except OSError:
        mask = os.umask(0)
        os.umask(mask)
        return 0o666 & ~mask

"""Whatever goes wrong becomes one line and an exit code."""

from __future__ import annotations

import errno
import json
import os
import sys
from collections.abc import Callable
from pathlib import Path

from retrofit_desk.values.errors import DeskError

EXIT_OK = 0
EXIT_OUR_FAULT = 70
EXIT_STOPPED = 130


class FileTrouble(DeskError):
    """The disk or a folder said no."""

    exit_code = 3


class NotThere(DeskError):
    """A file or folder that was named is not there."""


def guarded(work: Callable[[], None], *, as_json: bool) -> int:
    """Do the work; whatever goes wrong becomes one line and an exit code."""
    try:
        work()
    except DeskError as error:
        return _fail(error, as_json=as_json)
    except BrokenPipeError:
        # whoever read the answer has read enough; Python would complain at its own exit otherwise
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except OSError as error:
        return _fail(_file_trouble(error), as_json=as_json)
    except KeyboardInterrupt:
        print("Stopped. What was recorded before is kept.", file=sys.stderr)
        return EXIT_STOPPED
    except Exception as error:
        return _own_fault(error)
    return EXIT_OK


def _fail(error: DeskError, *, as_json: bool) -> int:
    if as_json:
        told = {"schema": "retrofit-desk/error/1", "error": error.line(), "kind": type(error).__name__}
        print(json.dumps(told, ensure_ascii=False), file=sys.stderr)
    else:
        print(error.line(), file=sys.stderr)
    return error.exit_code


def _file_trouble(error: OSError) -> DeskError:
    where = str(error.filename or "")
    kept = "what was recorded before is kept"
    match error.errno:
        case errno.ENOSPC:
            return FileTrouble(
                "the disk is full", where=where, kept=kept, do="free some space, then try again"
            )
        case errno.EACCES | errno.EPERM | errno.EROFS:
            return FileTrouble(
                "this place cannot be written or read", where=where, kept=kept, do="choose another folder"
            )
        case errno.ENOENT:
            return NotThere("no such file or folder", where=where, do="check the name and the path")
        case errno.EISDIR | errno.ENOTDIR:
            return FileTrouble(
                "a file was expected where a folder stands, or the other way round", where=where
            )
        case _:
            return FileTrouble(error.strerror or "the file could not be used", where=where, kept=kept)


def _own_fault(error: Exception) -> int:
    """A bug of ours: keep the whole of it in the log, tell the owner one line."""
    import traceback

    import platformdirs

    log = Path(platformdirs.user_log_dir("retrofit-desk")) / "faults.log"
    details = str(log)
    try:
        log.parent.mkdir(parents=True, exist_ok=True)
        with log.open("a", encoding="utf-8") as file:
            file.write("".join(traceback.format_exception(error)) + "\n")
    except OSError:
        details = f"{type(error).__name__}; {log} could not be written"
    print(
        f"This is a fault of the program, not yours. What was recorded before is kept. Details: {details}",
        file=sys.stderr,
    )
    return EXIT_OUR_FAULT

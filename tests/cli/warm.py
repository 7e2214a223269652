"""The command line loaded once, and each command run in a fork: a process of its own, soon there.

A fork has what every command loads, and nothing that another command loaded, set or left.
"""

import json
import os
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import NoReturn


@dataclass(frozen=True)
class Told:
    """How a command ended, what it said, and all modules that were loaded then."""

    code: int
    out: str
    err: str
    loaded: frozenset[str]


@dataclass(frozen=True)
class Warm:
    """A process that waits for commands."""

    process: "subprocess.Popen[str]"

    def __call__(
        self, *words: str, cwd: Path = Path(), environment: Mapping[str, str] | None = None
    ) -> Told:
        """Run one command in a folder, with this environment beside the one it began with."""
        asked = {"words": words, "cwd": str(cwd), "environment": dict(environment or {})}
        assert self.process.stdin
        assert self.process.stdout
        print(json.dumps(asked), file=self.process.stdin, flush=True)
        told = json.loads(self.process.stdout.readline())
        return Told(told["code"], told["out"], told["err"], frozenset(told["loaded"]))


@contextmanager
def warmed(environment: Mapping[str, str], *modules: str) -> Iterator[Warm]:
    """Start it, with these modules loaded as well, and end it again."""
    with subprocess.Popen(
        [sys.executable, __file__, *modules],
        env=environment,
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as process:
        yield Warm(process)


def _wait() -> None:
    """Take commands until there are no more."""
    for module in ("putback.cli.main", *sys.argv[1:]):
        import_module(module)
    for line in sys.stdin:
        ours, its = os.pipe()
        child = os.fork()
        if child == 0:
            _run(json.loads(line), its)
        os.close(its)
        with os.fdopen(ours) as told:
            print(told.read(), flush=True)
        os.waitpid(child, 0)


def _run(asked: dict, its: int) -> NoReturn:
    """Run one command here, and tell of it through a pipe."""
    from putback.cli.main import main  # loaded by whoever forked

    os.chdir(asked["cwd"])
    os.environ.update(asked["environment"])
    sys.argv = ["putback", *asked["words"]]
    code = 0
    with tempfile.TemporaryFile("w+") as out, tempfile.TemporaryFile("w+") as err:
        os.dup2(out.fileno(), 1)
        os.dup2(err.fileno(), 2)
        try:
            main()
        except SystemExit as end:
            code = int(end.code or 0)
        finally:
            sys.stdout.flush()
            sys.stderr.flush()
            said = [each.seek(0) or each.read() for each in (out, err)]
            loaded = [*sys.modules]
            with os.fdopen(its, "w") as pipe:
                json.dump({"code": code, "out": said[0], "err": said[1], "loaded": loaded}, pipe)
            os._exit(code)


if __name__ == "__main__":
    _wait()

"""The tests that are asked about a break, in parts: which breaks each part meets at all, and which of them it notices."""
import os
import signal
import subprocess
import sys
import tempfile
import threading
from dataclasses import dataclass, field
from functools import cache
from hashlib import sha256
from pathlib import Path

from sources import Break

LONGEST = 900  # seconds
OTHERS = ["--skip", "::postgres"]


@dataclass
class Part:
    suite: str
    program: str
    arguments: list[str]
    lock: threading.Lock = field(default_factory=threading.Lock)
    # the breaks that it meets; known once it has passed with nothing broken
    met: set[int] | None = None

    @property
    def name(self) -> str:
        return f"{self.suite} {self.arguments[0]}" if self.suite == "api" else self.suite


class Suites:
    def __init__(self, root: Path, programs: dict[str, str], only: list[str] | None):
        self.root, self.programs = root, programs
        # what each part meets, by the program that was asked
        self.kept = root.parent / "broken-met"
        parts = [
            Part("policy table", "policy_table", []),
            Part("twins", "promises", ["twins::", *OTHERS]),
            Part("access", "promises", ["access::", *OTHERS]),
            Part("sign-ins", "promises", ["sign_ins::events::", *OTHERS]),
        ]
        listed = subprocess.run([programs["api"], "--list"], capture_output=True, text=True, check=True).stdout
        names = [line.removesuffix(": test") for line in listed.splitlines() if line.endswith("::sqlite: test")]
        # what is about the sources or the document asks no rows
        modules = sorted({name.split("::")[0] for name in names} - {"lint", "document"})
        parts += [Part("api", "api", [f"{module}::", *OTHERS]) for module in modules]
        self.parts = [part for part in parts if not only or part.suite in only]

    @cache
    def digest(self, program: str) -> str:
        return sha256(Path(self.programs[program]).read_bytes()).hexdigest()[:16]

    def fails(self, part: Part, **environment: str) -> bool:
        """Runs it until the first test fails."""
        folder = self.root / ("core" if part.program == "policy_table" else "tests")
        began = subprocess.Popen([self.programs[part.program], *part.arguments], cwd=folder, text=True,
                                 env={**os.environ, "RUST_BACKTRACE": "0", "STRIDEWRIGHT_ONE_FAULT": "1", **environment}, start_new_session=True,
                                 stdout=subprocess.PIPE, stderr=subprocess.DEVNULL)

        def end() -> None:
            try:
                os.killpg(began.pid, signal.SIGKILL)
            except ProcessLookupError:
                pass

        alarm = threading.Timer(LONGEST, end)
        alarm.start()
        failed, none = False, False
        for line in began.stdout:
            none |= line.startswith("running 0 tests")
            if line.rstrip().endswith("... FAILED"):
                failed = True
                end()
                break
        code = began.wait()
        alarm.cancel()
        if none:
            sys.exit(f"{part.name}: there is no such test")
        return failed or code != 0

    def meets(self, part: Part, broken: Break) -> bool:
        """Whether it meets the break at all; what it meets is found out once, with nothing broken."""
        with part.lock:
            kept = self.kept / f"{part.name.replace(' ', '-').replace(':', '')}-{self.digest(part.program)}"
            if part.met is None and kept.is_file():
                part.met = {int(line) for line in kept.read_text().split()}
            if part.met is None:
                with tempfile.NamedTemporaryFile("r", prefix="stridewright-met.") as file:
                    if self.fails(part, STRIDEWRIGHT_BREAKS_MET=file.name):
                        sys.exit(f"nothing is broken, and {part.name} fails")
                    text = file.read()
                    part.met = {int(line) for line in text.split()}
                kept.parent.mkdir(exist_ok=True)
                kept.write_text(text)
        return broken.number in part.met

    def ordered(self, broken: Break, last: str | None) -> list[Part]:
        """What noticed it the last time is asked first, then what is likeliest to."""
        folders = broken.place.removesuffix(".rs").split("/")[2:]
        # access goes through everything, and takes its time where there is nothing to notice
        order = {
            "policy": ["policy table"],
            "barn": ["twins"],
            "caller": ["sign-ins", "twins", "near", "api", "access"],
        }.get(broken.kind, ["near", "access", "twins"])

        def rank(part: Part) -> tuple:
            module = part.arguments[0].removesuffix("::") if part.suite == "api" else ""
            near = any(module[:5] in folder for folder in folders) or ("booking" in folders and module.startswith("session"))
            sort = "near" if module and near else part.suite
            return part.name != last, order.index(sort) if sort in order else len(order), part.suite == "access"

        return sorted(self.parts, key=rank)

    def noticed(self, broken: Break, last: str | None) -> Part | None:
        """The part that fails with this break; none where all pass."""
        environment = {"STRIDEWRIGHT_BREAK": str(broken.number)}
        for part in self.ordered(broken, last):
            if self.meets(part, broken) and self.fails(part, **environment):
                return part
        return None

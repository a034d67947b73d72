#!/usr/bin/env python3
"""Set up, open, test and measure Underdial with nothing but python3, pip and git on the machine.

    python3 dev.py demo                 set up and open the app on a demo shop
    python3 dev.py test [--slow] [...]  set up and run the tests (anything more goes to pytest)
    python3 dev.py check                ruff (rules and layout), mypy --strict and the import contracts
    python3 dev.py sources              published rows: a table of group, rows, passed
    python3 dev.py bench NAME [--json]  kernel, diagnosis, lookover, listening, web, gauging
    python3 dev.py setup [NAME]         make the environment only: base, test (when none is named) or bench
    python3 dev.py setup EXTRA          add speech (one line by voice), dictation (a whole look-over) or postgres to it
    python3 dev.py lock                 write requirements/ anew from pyproject.toml (needs uv)

Standard library only. The environment is `.venv` beside this file; a stamp in it says which requirements it
holds, so that a second run starts at once.
"""

from __future__ import annotations

import hashlib
import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
PYTHON = VENV / "bin" / "python"
LAUNCHER = VENV / "bin" / "underdial"
BENCHES = ("kernel", "diagnosis", "lookover", "listening", "web", "gauging")
LEAST_PYTHON = (3, 11)
# What `setup` makes from a lock, and what it adds by the lines of pyproject.toml (groups that a shop may want; the test
# lock holds two of them).
LOCKS = ("base", "test", "bench")
EXTRAS = ("speech", "dictation", "postgres")
# Debian's packages that the browser tests need, with the program or library that shows they are there.
BROWSER_PACKAGES = {"chromium": "/usr/bin/chromium", "libatomic1": "libatomic.so.1"}


def main(argv: list[str]) -> int:
    if sys.version_info < LEAST_PYTHON:
        print(f"Underdial needs Python {LEAST_PYTHON[0]}.{LEAST_PYTHON[1]} or newer; this is {sys.version.split()[0]}.")
        return 2
    verbs = {
        "demo": demo,
        "test": test,
        "check": check,
        "sources": sources,
        "bench": bench,
        "setup": setup_verb,
        "lock": lock,
    }
    if not argv or argv[0] not in verbs:
        print(__doc__)
        return 0 if argv[:1] in ([], ["-h"], ["--help"], ["help"]) else 2
    return verbs[argv[0]](argv[1:])


def demo(rest: list[str]) -> int:
    set_up("base")
    os.execv(PYTHON, [str(PYTHON), str(LAUNCHER), "demo", *rest])


def test(rest: list[str]) -> int:
    set_up("test")
    warm_sums()
    browser = find_browser()
    slow = "--slow" in rest
    rest = [one for one in rest if one != "--slow"]
    args = ["-m", "slow" if slow else "not slow"]
    if not browser:
        args[1] += " and not browser"
        print(
            "Without Chromium the browser tests are left out. To run them too: apt-get install chromium libatomic1",
            flush=True,
        )
    if not any(one.startswith(("-n", "-x", "--pdb")) for one in rest):
        args += ["-n", "2", "--dist", "loadgroup"]
    return run([PYTHON, "-m", "pytest", *args, *rest], env={"OMP_NUM_THREADS": "1", "OPENBLAS_NUM_THREADS": "1"})


def check(rest: list[str]) -> int:
    set_up("test")
    steps = (["ruff", "check", "."], ["ruff", "format", "--check", "."], ["mypy"], [str(VENV / "bin" / "lint-imports")])
    worst = 0
    for name, *args in steps:
        print(f"{Path(name).name}:", flush=True)
        command = [PYTHON, name, *args] if "/" in name else [PYTHON, "-m", name, *args]
        worst = max(worst, run(command))
    return worst


def sources(rest: list[str]) -> int:
    set_up("test")
    return run([PYTHON, "-m", "benchmarks.sources", *rest])


def bench(rest: list[str]) -> int:
    if not rest or rest[0] not in BENCHES:
        print(f"bench: name one of {', '.join(BENCHES)}")
        return 2
    set_up("bench" if rest[0] == "listening" else "test")
    warm_sums()
    return run([PYTHON, "-m", f"benchmarks.{rest[0]}", *rest[1:]])


def setup_verb(rest: list[str]) -> int:
    name = rest[0] if rest else "test"
    if name not in (*LOCKS, *EXTRAS):
        print(f"setup: {name} is not one of {', '.join((*LOCKS, *EXTRAS))}")
        return 2
    set_up(name if name in LOCKS else "base")
    if name in EXTRAS:
        add_extra(name)
    warm_sums()
    return 0


def lock(rest: list[str]) -> int:
    extras = {"base": [], "test": ["test", "speech"], "bench": ["test", "speech", "bench"]}
    for name, wanted in extras.items():
        command = [
            "uv",
            "pip",
            "compile",
            "--quiet",
            "--universal",
            "--generate-hashes",
            "--no-header",
            "--no-annotate",
        ]
        for extra in wanted:
            command += ["--extra", extra]
        status = run([*command, *rest, "pyproject.toml", "-o", f"requirements/{name}.txt"])
        if status:
            return status
    return 0


def set_up(name: str) -> None:
    """Make `.venv` hold what requirements/NAME.txt lists, unless its stamp says that it does."""
    wanted = hashlib.sha256((ROOT / "requirements" / f"{name}.txt").read_bytes() + sys.version.encode()).hexdigest()
    stamp = VENV / f"{name}.stamp"
    if PYTHON.exists() and stamp.exists() and stamp.read_text() == wanted:
        place_launcher()
        return
    if not PYTHON.exists():
        print("Making the environment .venv", flush=True)
        must_run([sys.executable, "-m", "venv", "--without-pip", str(VENV)])
    print(f"Installing requirements/{name}.txt (hashes checked)", flush=True)
    must_run(
        [
            *pip(),
            "--python",
            str(PYTHON),
            "--disable-pip-version-check",
            "--quiet",
            "install",
            "--no-deps",
            "--only-binary",
            ":all:",
            "--require-hashes",
            "-r",
            f"requirements/{name}.txt",
        ]
    )
    place_launcher()
    stamp.write_text(wanted)


def add_extra(name: str) -> None:
    """Install a group of pyproject.toml beside what the lock holds; what is there already stays as it is."""
    import tomllib

    wanted = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]["optional-dependencies"][
        name
    ]
    print(f"Installing {', '.join(wanted)} (no lock holds the group {name}, so no hashes are checked)", flush=True)
    must_run(
        [
            *pip(),
            "--python",
            str(PYTHON),
            "--disable-pip-version-check",
            "--quiet",
            "install",
            "--only-binary",
            ":all:",
            *wanted,
        ]
    )


def place_launcher() -> None:
    """Put this checkout on the environment's path and the command `underdial` beside its python; compile it.

    Compiled here because a machine may forbid Python to write bytecode as it runs; help would then take twice as long.
    """
    folder = next((VENV / "lib").glob("python3*")) / "site-packages"
    wanted = {
        folder / "underdial.pth": f"{ROOT / 'src'}\n",
        LAUNCHER: f"#!{PYTHON}\nimport sys\nfrom underdial.cli import main\nsys.exit(main())\n",
    }
    for path, text in wanted.items():
        if not path.exists() or path.read_text() != text:
            path.write_text(text)
            path.chmod(0o755 if path == LAUNCHER else 0o644)
    run([PYTHON, "-m", "compileall", "-q", "src"])


def warm_sums() -> None:
    """Compile the kernel of the sums once for its present source; the app does the same beside its first pages."""
    kernel = sorted((ROOT / "src" / "underdial" / "mechanics").glob("kernel*.py"))
    wanted = hashlib.sha256(b"".join(path.read_bytes() for path in kernel)).hexdigest()
    stamp = VENV / "kernel.stamp"
    if (
        kernel
        and not (stamp.exists() and stamp.read_text() == wanted)
        and run([PYTHON, "-m", "underdial.bench.warming"]) == 0
    ):
        stamp.write_text(wanted)


def pip() -> list[str]:
    """The pip to install with: that of this Python, else the one on the path."""
    if subprocess.run([sys.executable, "-m", "pip", "--version"], capture_output=True, check=False).returncode == 0:
        return [sys.executable, "-m", "pip"]
    if shutil.which("pip3"):
        return ["pip3"]
    sys.exit("pip is not here. Install it first: apt-get install python3-pip")


def find_browser() -> bool:
    """See that Chromium is there; as root on Debian install it when it is missing."""
    missing = [name for name, sign in BROWSER_PACKAGES.items() if not there(sign)]
    if missing and os.geteuid() == 0 and shutil.which("apt-get"):
        print(f"Installing {' '.join(missing)} for the browser tests", flush=True)
        quiet = {"stdout": subprocess.DEVNULL, "env": {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}}
        subprocess.run(["apt-get", "update", "-qq"], check=False, **quiet)
        subprocess.run(["apt-get", "install", "-y", "-qq", "--no-install-recommends", *missing], check=False, **quiet)
    return all(there(sign) for sign in BROWSER_PACKAGES.values())


def there(sign: str) -> bool:
    if sign.startswith("/"):
        return Path(sign).exists() or shutil.which(Path(sign).name) is not None
    return any(list(folder.glob(f"**/{sign}*")) for folder in map(Path, ("/usr/lib", "/lib")) if folder.exists())


def run(command: list[object], env: dict[str, str] | None = None) -> int:
    return subprocess.run(
        [str(one) for one in command], cwd=ROOT, env={**os.environ, **(env or {})}, check=False
    ).returncode


def must_run(command: list[str]) -> None:
    status = run(command)
    if status:
        sys.exit(status)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

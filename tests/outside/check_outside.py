#!/usr/bin/env python3
"""cmake --install and what it puts there for shells and man, then a ten-line program of somebody
else that finds the package.

check_outside.py BUILD_FOLDER SOURCE_FOLDER [FLAGS]; FLAGS go to the outside
program's compiler (the sanitizers, where the library was built with them).
"""
import json
import pathlib
import subprocess
import sys
import tempfile


def run(*command):
    result = subprocess.run([str(word) for word in command], capture_output=True, text=True,
                            check=False)
    if result.returncode != 0:
        raise SystemExit(f"{command} gave {result.returncode}:\n{result.stdout}{result.stderr}")
    return result.stdout


def check_shell_files(installed):
    """What lets shells complete, and the manual page, are where they are looked for."""
    program = installed / "bin/slowdawn"
    said = {"bash-completion/completions/slowdawn": ["completion", "bash"],
            "zsh/site-functions/_slowdawn": ["completion", "zsh"],
            "fish/vendor_completions.d/slowdawn.fish": ["completion", "fish"],
            "man/man1/slowdawn.1": ["manual"]}
    for file, words in said.items():
        assert (installed / "share" / file).read_text() == run(program, *words), file


def main():
    build, source = pathlib.Path(sys.argv[1]), pathlib.Path(sys.argv[2])
    flags = " ".join(sys.argv[3:])
    tank = source / "examples/stairwell-reef/stairwell-reef.tank.json"
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        run("cmake", "--install", build, "--prefix", folder / "installed")
        run("cmake", "-S", source / "tests/outside", "-B", folder / "build", "-G", "Ninja",
            f"-DCMAKE_PREFIX_PATH={folder / 'installed'}", f"-DCMAKE_CXX_FLAGS={flags}")
        run("cmake", "--build", folder / "build")
        check_shell_files(folder / "installed")
        said = run(folder / "build/outside", tank)
        plan = json.loads(run(folder / "installed/bin/slowdawn", "plan", tank, "--json"))
    expected = f"{plan['tank']}: {len(plan['days'])} days\n"
    assert said == expected, (said, expected)
    print(said, end="")


if __name__ == "__main__":
    main()

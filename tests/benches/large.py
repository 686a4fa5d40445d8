#!/usr/bin/env python3
"""Gives the program inputs far larger than any that were meant, and prints what each takes: time and memory.

    tests/benches/large.py [PROGRAM]        default: target/release/blockside

Standard library and /usr/bin/time only. Every input is also made at a tenth of its size: a step that grows with the
square of its input shows as a factor of a hundred. Takes some minutes and about a gigabyte under the system's folder for
temporary files.
"""

import os
import pathlib
import signal
import subprocess
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parents[2]
PROGRAM = sys.argv[1] if len(sys.argv) > 1 else str(ROOT / "target/release/blockside")
SCALE = (ROOT / "fixtures/broken/base/scale.toml").read_text()
STATED = 'judgement = "Made up for tests."\n'
SPECIES = ('[species]\nid = "any"\nname = "Any"\nlatin = "Any any"\nalso = []\nsummary = "It grows."\ntraits = []\n'
           'harvest-sign = "The rims begin to flatten."\ndefault = true\n' + STATED)
SCHEMA = 'schema = "blockside.case/1"\n'


def run(name, folder, *args, text=None, limit=600):
    """Runs the program and prints its status, seconds, seconds of work, memory, and what it said."""
    measured = folder / "measured"
    out = folder / "out"
    with open(out, "wb") as into:
        ran = subprocess.Popen(["/usr/bin/time", "-f", "%e %U %M", "-o", str(measured), PROGRAM, *map(str, args)],
                               stdin=open(text, "rb") if text else subprocess.DEVNULL, stdout=into,
                               stderr=subprocess.PIPE, start_new_session=True,
                               env=dict(os.environ, BLOCKSIDE_HOME=str(folder / "home")))
        try:
            _, err = ran.communicate(timeout=limit)
        except subprocess.TimeoutExpired:
            # The program is a child of `time`, and both are ended.
            os.killpg(ran.pid, signal.SIGKILL)
            ran.communicate()
            print(f"{name:56} not done after {limit} s", flush=True)
            return
    seconds, busy, kilobytes = measured.read_text().split()[-3:]
    said = (err.decode(errors="replace").strip().splitlines() or [""])[0][:90]
    size = out.stat().st_size
    print(f"{name:56} {ran.returncode:4} {seconds:>8} s {busy:>8} s busy {int(kilobytes) // 1024:6} MiB {size:10} out  {said}", flush=True)


def sign(name, family=None):
    return (f'[[sign]]\nid = "{name}"\nstatement = "{name} is there"\nquestion = "Is {name} there?"\nlook = "Look."\n'
            f'words = ["{name}"]\nanyway = "seldom"\n'
            + (f'family = "{family}"\n' if family else "") + f'effort = "glance"\n{STATED}\n')


def cause(name, rules):
    return (f'[[cause]]\nid = "{name}"\nname = "Cause {name}"\nkind = "condition"\nsummary = "It is {name}."\n'
            f'base-rate = "common"\nlook-alikes = []\nactions = []\ncautions = []\nrules = [\n'
            + "".join(f"  {rule},\n" for rule in rules) + f"]\n{STATED}\n")


def shows(of):
    return f'{{ when = {{ {of} }}, shows = "often", judgement = "Made up for tests." }}'


def base(folder, **files):
    folder.mkdir()
    (folder / "scale.toml").write_text(SCALE)
    (folder / "species.toml").write_text(SPECIES)
    for name, text in files.items():
        # No file is larger than is read.
        for number, part in enumerate(parts(text)):
            (folder / f"{name}-{number:03}.toml").write_text(part)
    return folder


def parts(entries, most=8 * 1024 * 1024):
    part, size = [], 0
    for entry in entries:
        if size + len(entry) > most:
            yield "".join(part)
            part, size = [], 0
        part.append(entry)
        size += len(entry)
    yield "".join(part)


def many_rules(folder, count):
    signs, facts = count // 10, count // 100
    return base(
        folder,
        signs=[sign(f"sign-{one:06}") for one in range(signs)],
        facts=[f'[[fact]]\nid = "fact-{one:06}"\nstatement = "fact {one} holds"\nanyway = "seldom"\n{STATED}\n'
               for one in range(facts)],
        rules=[f'[[rule]]\nid = "rule-{one:06}"\nwhen = {{ all = [{{ sign = "sign-{one % signs:06}" }}, '
               f'{{ sign = "sign-{(7 * one + 1) % signs:06}" }}] }}\nthen = {{ fact = "fact-{one % facts:06}" }}\n'
               f'text = "It follows."\n{STATED}\n' for one in range(count)],
        causes=[cause(f"cause-{one:06}", [shows(f'fact = "fact-{one:06}"')]) for one in range(facts)],
    )


def family(folder, count):
    names = [f"sign-{one:06}" for one in range(count)]
    other = cause("other", [shows(f'sign = "{name}"') for name in names[:2]])
    return base(folder, signs=[sign(name, "one") for name in names],
                causes=[cause("many", [shows(f'sign = "{name}"') for name in names]), other])


def one_sign(folder, count):
    return base(folder, signs=[sign("seen")],
                causes=[cause(f"cause-{one:06}", [shows('sign = "seen"')]) for one in range(count)])


def dense(folder, signs, causes):
    names = [f"sign-{one:06}" for one in range(signs)]
    return base(folder, signs=[sign(name) for name in names],
                causes=[cause(f"cause-{one:06}", [shows(f'sign = "{name}"') for name in names]) for one in range(causes)])


def case(path, signs, extra=""):
    path.write_text(SCHEMA + extra + "[signs]\n" + "".join(f'{one} = "yes"\n' for one in signs))
    return path


def main():
    with tempfile.TemporaryDirectory() as place:
        place = pathlib.Path(place)
        for count in [10_000, 100_000]:
            folder = many_rules(place / f"rules-{count}", count)
            told = case(place / f"rules-{count}.toml", [f"sign-{one:06}" for one in range(200)])
            for command in [["knowledge", "check", folder], ["--knowledge-only", folder, "knowledge", "list", "rules"],
                            ["--knowledge-only", folder, "diagnose", told],
                            ["--knowledge-only", folder, "describe", "sign-000001"]]:
                run(f"{count} rules: {' '.join(word for word in map(str, command) if '/' not in word)}", place, *command)
        for count in [1_500, 15_000]:
            folder = base(place / f"unknown-{count}", signs=[sign(f"sign-{one:06}") for one in range(count // 3)],
                          causes=[cause("one", [shows(f'sign = "sgn-{one:06}"') for one in range(count)])])
            run(f"{count} names in rules that are nearly known: check", place, "knowledge", "check", folder)
        for count in [1_000, 10_000]:
            folder = family(place / f"family-{count}", count)
            run(f"a family of {count} signs: check", place, "knowledge", "check", folder)
            for kind in ["rules", "signs", "causes"]:
                run(f"a family of {count} signs: list {kind}", place, "--knowledge-only", folder, "knowledge", "list", kind)
            for seen in [1, 40, count]:
                told = case(place / f"family-{count}-{seen}.toml", [f"sign-{one:06}" for one in range(seen)])
                run(f"a family of {count} signs: diagnose, {seen} seen", place, "--knowledge-only", folder, "diagnose", told)
        for count in [100, 1_000, 10_000]:
            folder = one_sign(place / f"one-{count}", count)
            told = case(place / f"one-{count}.toml", ["seen"])
            run(f"{count} causes for one sign: check", place, "knowledge", "check", folder)
            run(f"{count} causes for one sign: diagnose", place, "--knowledge-only", folder, "diagnose", told)
        for causes in [40, 80, 160]:
            folder = dense(place / f"dense-{causes}", 40, causes)
            told = case(place / f"dense-{causes}.toml", [f"sign-{one:06}" for one in range(40)])
            run(f"40 signs seen, {causes} causes for each: diagnose", place, "--knowledge-only", folder, "diagnose", told)
        listed = subprocess.run([PROGRAM, "knowledge", "list", "signs", "--format", "json"], capture_output=True).stdout
        import json
        names = [one["id"] for one in json.loads(listed)["entries"]]
        for seen in [20, 40, 80, len(names)]:
            spread = names[:: max(1, len(names) // seen)][:seen]
            run(f"built-in: diagnose, {seen} signs as unsure as can be", place, "diagnose",
                *[word for name in spread for word in ("--sign", f"{name}=probably")])
            told = case(place / f"built-in-{seen}.toml", spread)
            run(f"built-in: diagnose, {seen} signs seen", place, "diagnose", told)
        for count in [7_500, 75_000]:
            told = case(place / f"unknown-{count}.toml", [f"s{one}" for one in range(count)])
            run(f"built-in: {count} signs that nobody knows", place, "diagnose", told)
        told = case(place / "unknown-like.toml", [f"long-stems{one}" for one in range(40_000)])
        run("built-in: 40000 signs that are nearly known", place, "diagnose", told)
        for depth in [1_000, 10_000, 100_000]:
            for name, text in {
                "dotted keys": SCHEMA + ".".join(["a"] * depth) + " = 1\n",
                "lists": SCHEMA + "a = " + "[" * depth + "]" * depth + "\n",
                "tables in line": SCHEMA + "a = " + "{a=" * depth + "1" + "}" * depth + "\n",
            }.items():
                path = place / "deep.toml"
                path.write_text(text)
                run(f"a case, {name} {depth} deep", place, "diagnose", path)
                path.write_text(text.replace("case/1", "answers/1"))
                run(f"answers, {name} {depth} deep", place, "ask", "--answers", path)
                path.write_text(text.replace("case/1", "profile/1"))
                run(f"a profile, {name} {depth} deep", place, "chamber", path)
                home = place / "home"
                (home / "cases").mkdir(parents=True, exist_ok=True)
                for file, what in [("cases/20280229-01.toml", ["cases"]), ("rounds.toml", ["rounds"]),
                                   ("settings.toml", ["diagnose"]), ("learning.toml", ["cases", "learned"])]:
                    (home / file).write_text(text)
                    run(f"{file}, {name} {depth} deep", place, *what)
                    (home / file).unlink(missing_ok=True)
            path = place / "deep.json"
            path.write_text('{"schema": "blockside.case/1", "a": ' + '{"a":' * depth + "1" + "}" * depth + "}\n")
            run(f"a line of an import {depth} deep", place, "cases", "import", path)
            run(f"a line of a batch {depth} deep", place, "diagnose", "--batch", path)
            folder = place / f"conditions-{depth}"
            nested = "{ all = [" * depth + '{ sign = "seen" }' + "] }" * depth
            base(folder, signs=[sign("seen")], causes=[cause("one", [shows('sign = "seen"')])],
                 rules=[f'[[rule]]\nid = "rule"\nwhen = {nested}\nthen = {{ fact = "fact" }}\ntext = "It."\n{STATED}'])
            run(f"a condition {depth} deep: check", place, "knowledge", "check", folder)
        long = place / "long.toml"
        line = 'long-stems = "yes" # ' + "x" * 78 + "\n"
        with open(long, "w") as into:
            into.write(SCHEMA + "[signs]\n")
            for _ in range(2_000):
                into.write(line * 1_000)
        run("a case of 200 MB", place, "diagnose", long)
        run("answers of 200 MB", place, "ask", "--answers", long)
        run("a profile of 200 MB", place, "chamber", long)
        run("free text of 200 MB", place, "describe", "--file", long)
        run("free text of 200 MB from standard input", place, "describe", text=long)
        run("an import of 200 MB", place, "cases", "import", long)
        run("a batch of 200 MB of bad lines", place, "diagnose", "--batch", long)
        run("a log of 200 MB that is no log", place, "log", long)
        rows = place / "rows.csv"
        with open(rows, "w") as into:
            into.write("time,temperature,humidity,co2\n")
            day = "".join(f"%s {minute // 60:02}:{minute % 60:02}:{second:02},21.{minute % 10},9{second % 10}.5,{800 + minute}\n"
                          for minute in range(1440) for second in (0, 20, 40))
            for number in range(1200):
                into.write(day.replace("%s", f"{2020 + number // 336}-{1 + number // 28 % 12:02}-{1 + number % 28:02}"))
        run(f"a log of {rows.stat().st_size >> 20} MiB", place, "log", rows)
        one_line = place / "one-line.csv"
        with open(one_line, "w") as into:
            into.write("time,temperature,humidity,co2\n2026-01-01 00:00,21,90,800\n")
            for _ in range(200):
                into.write("9" * 1_000_000)
            into.write("\n2026-01-01 00:01,21,90,800\n")
        run("a log with a line of 200 MB", place, "log", one_line)
        script = place / "script.toml"
        with open(script, "w") as into:
            into.write('schema = "blockside.answers/1"\n[signs]\n')
            for number in range(1_000_000):
                into.write(f's{number} = "yes"\n')
        run("answers of a million lines", place, "ask", "--answers", script)
        small = place / "answers.toml"
        small.write_text('schema = "blockside.answers/1"\n[signs]\n' + "".join(f's{one} = "yes"\n' for one in range(70_000)))
        run("answers of 70000 lines that nobody knows", place, "ask", "--answers", small)
        os.mkfifo(place / "pipe.toml")
        for what in [["diagnose"], ["chamber"], ["log"], ["ask", "--answers"], ["describe", "--file"], ["cases", "import"],
                     ["diagnose", "--batch"], ["knowledge", "check"]]:
            for path in ["/dev/zero", "/dev/null", "/dev/full", place, place / "pipe.toml"]:
                name = pathlib.Path(path).name if path != place else "a folder"
                run(f"{' '.join(what)} {name}", place, *what, path, limit=20)


if __name__ == "__main__":
    main()

"""Every system call that can fail does so once, one after the other, in a run that has something
to amend: the run says so or comes out whole all the same; no file is torn, no part is left; the
next run comes to the same folder as one that was never disturbed. Memory likewise: one allocation
in turn, and one with all after it.

calls.py FOLDER: a working folder. FAULT_STEP thins the calls out (1: every call); FAULT_PLACES is
at how many places memory runs out, for one allocation and for all after it."""
import collections
import errno
import os
import shutil
import subprocess
import sys

work = os.path.abspath(sys.argv[1])
program = os.environ["ENDFEEL"]
out = os.path.join(work, "o")
temporary = os.path.join(work, "tmp")
shim = os.path.join(work, "shim.so")
DAY = "2025-03-14"
BEFORE = f"""patient_id,name,visit_date,visit_kind,referrer,joint,motion,side,test,value
P1,Ann Example,{DAY},evaluation,Dr Ash,knee,flexion,right,AROM,112
P2,Bo Example,{DAY},visit,,knee,flexion,left,AROM,101
"""
AFTER = BEFORE.replace(",112", ",121") + f"P3,Cy Example,{DAY},visit,,hip,flexion,left,AROM,88\n"
COMMON = ["--today", "2030-01-01", "-j1"]
REPORT = ["report", *COMMON, "--with-findings", "--print-all"]


def run(arguments, **environment):
    """Status and what was said; a run that does not end is a failure of its own."""
    try:
        done = subprocess.run([program, *arguments], stdin=subprocess.DEVNULL, timeout=60,
                              stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, check=False,
                              env={**os.environ, "TMPDIR": temporary, **environment})
    except subprocess.TimeoutExpired:
        return "no end within 60 seconds", ""
    return done.returncode, done.stderr.decode("utf-8", "replace")


def report(into, name):
    return run([*REPORT, "-o", into, os.path.join(work, name)])


def tree(folder):
    """The bytes of every file, by its path; folders and links have none."""
    found = {}
    for at, folders, names in os.walk(folder):
        for name in folders:
            found[os.path.relpath(os.path.join(at, name), folder)] = None
        for name in names:
            path = os.path.join(at, name)
            with open(path, "rb") as f:
                found[os.path.relpath(path, folder)] = f.read()
    return found


def difference(there, wanted):
    return " ".join(sorted(f for f in there.keys() | wanted.keys()
                           if f not in there or f not in wanted or there[f] != wanted[f])[:3])


def torn(there, base, whole):
    """Reports and values are what they were or what they are to be; lists end with a whole line."""
    bad = []
    for f, text in there.items():
        if text is None or f.startswith((".lock", ".journal")):
            continue
        if f.endswith(".csv"):
            good = text.endswith(b"\n")
        elif f in ("day-index.pdf", "print-all.pdf"):
            good = text.endswith(b"%%EOF\n")
        else:
            good = text in (base.get(f), whole.get(f))
        if not good:
            bad.append(f)
    return " ".join(bad[:3])


def fresh(base):
    shutil.rmtree(out, ignore_errors=True)
    shutil.copytree(base, out, copy_function=shutil.copy2)
    with open(os.path.join(work, "count"), "wb") as f:
        f.write(bytes(8))


def shimmed(arguments, fault, **more):
    return run(arguments, FAULT=fault, FAULT_COUNT=os.path.join(work, "count"), LD_PRELOAD=shim,
               **more)


def counted():
    """How many calls there were, and whether one of them failed."""
    with open(os.path.join(work, "count"), "rb") as f:
        text = f.read()
    return int.from_bytes(text[:4], "little"), text[4] == 1


def parts_left():
    parts = [f for f in os.listdir(temporary)]
    for at, _, names in os.walk(out):
        parts += [os.path.relpath(os.path.join(at, f), out) for f in names if f.endswith(".part")]
    return " ".join(parts)


class Sequence:
    """Faults of one kind at several places."""

    def __init__(self, name):
        self.name, self.tried, self.bad = name, 0, 0

    def judge(self, place, why, said):
        self.tried += 1
        why = "; ".join(w for w in why if w)
        if why:
            self.bad += 1
            print(f"FAILED {self.name}-{place}: {why} ({' '.join(said.split())[-200:]})")
        return self.bad < 3

    def end(self):
        if self.tried == 0:
            print(f"FAILED {self.name}: never called")
        elif self.bad == 0:
            print(f"ok {self.name} ({self.tried} places)")


def why_status(got, said, same):
    if got == 0:
        return "" if same() == "" else f"status 0, but other {same()}"
    if got in (1, 2, 3):
        return "" if "endfeel: " in said else f"status {got} without a word"
    return f"status {got}"


def fault(call, path, number, places):
    """The report run at each of the places, and the run after it."""
    base, whole = tree(os.path.join(work, "base")), tree(os.path.join(work, "whole"))
    sequence = Sequence(f"{call}-{os.path.basename(path)}")
    for n in places:
        fresh(os.path.join(work, "base"))
        got, said = shimmed([*REPORT, "-o", out, os.path.join(work, "after.csv")],
                            f"{call}:{path}:{n}:{number}")
        if not counted()[1]:
            continue # the order of two processes is not always the same
        there = tree(out)
        why = [why_status(got, said, lambda t=there: difference(t, whole))]
        t = torn(there, base, whole)
        why.append(t and f"torn: {t}")
        left = parts_left()
        why.append(left and f"left: {left}")
        report(out, "after.csv")
        other = difference(tree(out), whole)
        why.append(other and f"next run: other {other}")
        if not sequence.judge(n, why, said):
            break
    sequence.end()


def other_command(name, arguments, places):
    """Memory refused for good in a command that writes once: all of it or nothing."""
    fresh(os.path.join(work, "base"))
    if run(arguments)[0] != 0:
        print(f"FAILED memory-{name}: it does not run undisturbed")
        return
    whole = tree(out)
    fresh(os.path.join(work, "base"))
    base = tree(out)
    shimmed(arguments, "memory:once:2000000000:12")
    calls = counted()[0]
    sequence = Sequence(f"memory-{name}")
    for i in range(places):
        n = calls - i * (calls // 4) // places # the last quarter: where it writes
        fresh(os.path.join(work, "base"))
        got, said = shimmed(arguments, f"memory:on:{n}:12")
        if not counted()[1]:
            continue
        there = tree(out)
        files = {f for f, text in there.items() if text is not None}
        why = [why_status(got, said, lambda t=there: difference(t, whole))]
        why.append("" if all(there[f] in (base.get(f), whole.get(f)) for f in files) else "torn")
        left = parts_left()
        why.append(left and f"left: {left}")
        if not sequence.judge(n, why, said):
            break
    sequence.end()


def calls_made():
    """What an undisturbed run calls, by call, with the paths; and its allocations."""
    fresh(os.path.join(work, "base"))
    log = os.path.join(work, "log")
    shimmed([*REPORT, "-o", out, os.path.join(work, "after.csv")], "memory:once:2000000000:12",
            FAULT_LOG=log)
    made = collections.defaultdict(list)
    with open(log, encoding="utf-8", errors="surrogateescape") as f:
        for line in f:
            call, _, path = line.rstrip("\n").partition(" ")
            made[call].append(path)
    return made, counted()[0]


def main():
    os.mkdir(temporary)
    for name, text in (("before.csv", BEFORE), ("after.csv", AFTER)):
        with open(os.path.join(work, name), "w", encoding="utf-8") as f:
            f.write(text)
    report(os.path.join(work, "base"), "before.csv")
    shutil.copytree(os.path.join(work, "base"), os.path.join(work, "whole"))
    if report(os.path.join(work, "whole"), "after.csv")[0] != 0:
        print("FAILED calls: the undisturbed run does not end with 0")
    step = int(os.environ.get("FAULT_STEP", "20"))
    places = int(os.environ.get("FAULT_PLACES", "2"))
    made, allocations = calls_made()
    for call, path, number in (
            ("open", out, errno.EACCES), ("open", "after.csv", errno.EACCES),
            ("read", out, errno.EIO), ("read", "after.csv", errno.EIO),
            ("write", out, errno.ENOSPC), ("fsync", out, errno.EIO),
            ("rename", out, errno.EACCES), ("link", out, errno.EPERM),
            ("mkdir", out, errno.EACCES), ("close", out, errno.EIO),
            ("fork", "fork", errno.EAGAIN)):
        n = sum(path in p for p in made[call])
        fault(call, path, number, range(1 + min(step, n) // 2, n + 1, step))
    if allocations > 1000:
        print(f"ok memory-is-counted ({allocations} allocations)")
    else:
        print(f"FAILED memory-is-counted: {allocations}")
    for which in ("once", "on"):
        # The last place is in the parent, where the print file is written.
        fault("memory", which, errno.ENOMEM,
              [allocations - 10 - i * allocations // places for i in range(places)])
    after = os.path.join(work, "after.csv")
    other_command("findings", ["findings", *COMMON, "-o", os.path.join(out, "f.csv"), after],
                  places)
    other_command("handout", ["handout", "--today", "2030-01-01", "--case", "1", "-o", out,
                              "--patient", "P1", after], places)


main()

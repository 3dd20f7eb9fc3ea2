#!/usr/bin/env python3
"""Breaks one number or comparison at a time and sees whether the tests notice.

    mutation.py COUNT SEED WORK [--list FILE] [--only PATH-PART]

Mutants are drawn, with a fixed seed, from two populations: the figures of src/reference/*.xml that
judge somebody, and the comparisons, connectives and constants of src/rules/*.c; two thirds of them
from the second. Each one is compiled and linked into one shared library, against which all test
programs run, and is judged by the unit tests of rules and reference, the outside checks, the cases
and the recomputation of fixtures and of generated visits. The recomputation reads the broken
reference, so that only figures written down elsewhere can tell.

Not drawn: bounds of `for` loops, which walk lists and judge nobody (reading past a list is what
the sanitizers and the fuzz runs are for), asserts, sizes of arrays, and attributes of the reference
that are printed beside a figure and never compared (n, icc, order, ranges of studies).

Prints the tally; survivors go to standard output, one a line, keyed as in
tests/long/mutation-survivors.txt, where each known one is explained.
"""

import concurrent.futures
import os
import pathlib
import random
import re
import shutil
import subprocess
import sys
import threading

TOP = pathlib.Path(__file__).resolve().parents[2]
RULES_SHARE = 2 / 3
SLOW = 60  # seconds of processor time until a mutant that never ends counts as noticed
STUCK = 1800  # seconds of clock, for one that waits: a busy machine is no mutant
LIBRARY = ("base", "page", "font", "reference", "model", "import", "rules", "agree", "plan",
           "findings")

# Attributes that judge: what they are compared with decides a finding.
JUDGING = {
    "normal": ("normal-deg", "sd-deg", "age-min", "age-max", "hyper-ok-deg", "max-plausible-deg"),
    "error": ("sem", "mdc90", "mdc95"),
    "demand": ("needed", "from", "sd", "age-min", "age-max"),
    "compensation": ("typical-deficit-deg",),
    "force-norm": ("mean", "sd", "n", "se", "age-min", "age-max", "tries"),
    "grade": ("ordinal", "numeric", "mrc", "isncsci"),
    "loss": ("value", "high"),
    "tension": ("deg", "least", "factor"),
    "cut-off": ("value",),
    "threshold": ("value",),
    "sum-score": ("max-per-item", "max-per-side", "max-total"),
}


# ---- what can be broken -------------------------------------------------------------------------

def without_comments(text):
    """The code with comments, texts and preprocessor lines blanked, place by place."""
    def blank(found):
        return re.sub(r"[^\n]", " ", found[0])
    pattern = r'/\*.*?\*/|//[^\n]*|"(?:\\.|[^"\\])*"|\'(?:\\.|[^\'\\])\'|^[ \t]*#[^\n]*'
    return re.sub(pattern, blank, text, flags=re.S | re.M)


def is_left_out(code, at):
    """Within the head of a for loop, an assert, an enum or the size of an array."""
    line_start = code.rfind("\n", 0, at) + 1
    line = code[line_start:code.find("\n", at)]
    before = code[line_start:at]
    if re.search(r"\b(assert|enum|ARRAY_LEN)\b", line) or re.search(r"\[[^\]]*$", before):
        return True
    head = re.search(r"\bfor \(", before)
    if head is None:
        return False
    # Between the two semicolons of the head the condition may hold more than the bound.
    return before[head.start():].count(";") < 2 or ")" not in before[head.start():]


OPERATORS = {"<": "<=", "<=": "<", ">": ">=", ">=": ">", "==": "!=", "!=": "==", "&&": "||",
             "||": "&&", "rules_at_least": "rules_over", "rules_over": "rules_at_least"}
TOKEN = re.compile(r"<=|>=|==|!=|&&|\|\||->|<<|>>|<|>|\brules_at_least\b(?=\()"
                   r"|\brules_over\b(?=\()|(?<![\w.])\d+(?:\.\d+)?(?:e-?\d+)?(?![\w.])")


def other_number(text):
    if "." in text or "e" in text:
        return repr(float(text) * 1.25 if float(text) else 0.25)
    return str(int(text) + 1)


def mutants_of_code(path):
    code = without_comments(path.read_text(encoding="utf-8"))
    for found in TOKEN.finditer(code):
        token = found[0]
        if token in ("->", "<<", ">>") or is_left_out(code, found.start()):
            continue
        head = code[:found.start()].rstrip()
        if token.startswith("rules_") and head.endswith("bool"):
            continue  # the definition itself
        new = OPERATORS.get(token) or other_number(token)
        yield (path, found.start(), token, new)


def mutants_of_reference(path):
    text = path.read_text(encoding="utf-8")
    for element in re.finditer(r"<([a-z0-9-]+)\s([^<>]*)>", text):
        for name in JUDGING.get(element[1], ()):
            found = re.search(rf'(?<![\w-]){name}="(-?\d+(?:\.\d+)?)"', element[2])
            if found is None or (name, found[1]) in (("age-min", "0"), ("age-max", "120")):
                continue
            at = element.start(2) + found.start(1)
            value = found[1]
            new = f"{float(value) * 1.1 + 0.1:.3f}".rstrip("0") if "." in value \
                else str(int(value) + 1)
            yield (path, at, value, new)


def key_of(mutant):
    """Where it is: path, line, the text of the line, what became what."""
    path, at, old, new = mutant
    text = path.read_text(encoding="utf-8")
    line = text.count("\n", 0, at) + 1
    start = text.rfind("\n", 0, at) + 1
    end = text.find("\n", at)
    column = at - start + 1
    return f"{path.relative_to(TOP)}:{line}:{column}: {old} -> {new}: {text[start:end].strip()}"


def draw(count, seed, only):
    rng = random.Random(seed)
    code = [m for p in sorted((TOP / "src/rules").glob("*.c")) for m in mutants_of_code(p)]
    figures = [m for p in sorted((TOP / "src/reference").glob("*.xml"))
               for m in mutants_of_reference(p)]
    print(f"{len(code)} places in the rules, {len(figures)} figures of the reference",
          file=sys.stderr)
    if only:
        code = [m for m in code if only in str(m[0])]
        figures = [m for m in figures if only in str(m[0])]
    of_code = min(len(code), round(count * RULES_SHARE) if figures else count)
    return rng.sample(code, of_code) + rng.sample(figures, min(len(figures), count - of_code))


# ---- building -----------------------------------------------------------------------------------

def run(command, **options):
    return subprocess.run(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, **options)


def must(command, **options):
    done = run(command, **options)
    if done.returncode != 0:
        sys.exit(f"{' '.join(map(str, command))}\n{done.stdout.decode()[-2000:]}")
    return done.stdout.decode()


class Workshop:
    """Everything as it is, built once: objects, one library of the folders under test, programs."""

    def __init__(self, work):
        self.work = work
        self.build = work / "build"
        cc = os.environ.get("CC", "cc")
        make = ["make", "-C", TOP, "-j2", f"BUILD={self.build}", "CFLAGS=-O0 -fPIC", "HARD=",
                "HARDLD=", f"CC={cc}"]
        must(["nice", *make, "all"])
        self.cc = cc.split()
        self.flags = ("-std=c11 -D_GNU_SOURCE -Isrc -O0 -fPIC".split() +
                      self.packages("--cflags") + [f'-DENDFEEL_DATADIR="{self.build}"',
                                                   '-DENDFEEL_VERSION="test"'])
        self.libs = self.packages("--libs") + ["-lcsv", "-lhpdf", "-lm"]
        self.objects = [o for f in LIBRARY for o in sorted((self.build / "obj" / f).glob("*.o"))]
        self.link(self.work, {})
        self.programs = self.link_programs()
        self.samples = self.make_samples()

    @staticmethod
    def packages(what):
        names = ("libxml-2.0 harfbuzz harfbuzz-subset zlib libdeflate libpng nettle gsl libqpdf "
                 "check").split()
        return must(["pkg-config", what, *names]).split()

    def link(self, folder, replaced):
        objects = [str(replaced.get(o, o)) for o in self.objects]
        return run([*self.cc, "-shared", "-o", folder / "libmutant.so", *objects, *self.libs])

    def link_programs(self):
        programs = []
        names = [p for kind in ("rules", "reference", "findings", "plan")
                 for where in ("unit", "external")
                 for p in sorted((TOP / "tests" / where).glob(f"test_{kind}_*.c"))
                 if p.stem != "test_reference_tree"]  # holds the library against its own files
        for source in names:
            out = self.work / source.stem
            must([*self.cc, *self.flags, "-o", out, source, f"-L{self.work}", "-lmutant",
                  *self.libs], cwd=TOP)
            programs.append(out)
        rest = [self.build / "lib" / f"{f}.a" for f in
                ("cli", "batch", "pdf", "layout", "figure")]
        must([*self.cc, "-o", self.work / "endfeel", *rest, f"-L{self.work}", "-lmutant",
              *self.libs])
        share = self.work / "share"
        if not share.exists():
            share.symlink_to(self.build / "share")
        return programs

    def make_samples(self):
        """Inputs of the recomputation: the fixtures and generated visits."""
        generated = self.work / "generated.csv"
        generated.write_text(must([sys.executable, TOP / "tests/external/generate.py", "300",
                                   "20250314"]), encoding="utf-8")
        return [TOP / "fixtures/day", TOP / "fixtures/scenarios/s1-knee",
                TOP / "fixtures/scenarios/s2-shoulder", generated]

    def order_of(self, path):
        """What is likeliest to notice first: a rule's own tests, the tables of the reference. A
        broken rule cannot show in the tests of the reference."""
        of_reference = [p for p in self.programs if p.name.startswith("test_reference_")]
        if path.suffix == ".xml":
            tables = ("test_reference_tables", "test_reference_uses", "test_reference_vocabulary")
            return sorted(self.programs, key=lambda p: (p.name not in tables, p in of_reference,
                                                        p.name))
        own = f"test_rules_{path.stem}"
        return sorted((p for p in self.programs if p not in of_reference),
                      key=lambda p: (not p.name.startswith(own), p.name))


# ---- judging ------------------------------------------------------------------------------------

class Bench(threading.local):
    folder = None


bench = Bench()
bench_count = iter(range(1000))


def place(shop):
    if bench.folder is None:
        bench.folder = shop.work / f"bench{next(bench_count)}"
        bench.folder.mkdir(exist_ok=True)
    return bench.folder


def apply(shop, mutant, folder):
    """The library with one thing broken; None when it does not compile, which is no mutant."""
    path, at, old, new = mutant
    text = path.read_text(encoding="utf-8")
    broken = text[:at] + new + text[at + len(old):]
    reference = TOP / "src/reference"
    if path.suffix == ".c":
        source = folder / path.name
        source.write_text(broken, encoding="utf-8")
        made = folder / "mutant.o"
        done = run([*shop.cc, *shop.flags, "-c", "-o", made, source], cwd=TOP)
        replaced = {shop.build / "obj/rules" / f"{path.stem}.o": made}
    else:
        reference = folder / "reference"
        shutil.rmtree(reference, ignore_errors=True)
        shutil.copytree(TOP / "src/reference", reference,
                        ignore=shutil.ignore_patterns("*.c", "*.h"))
        (reference / path.name).write_text(broken, encoding="utf-8")
        files = [str(p) for p in sorted(reference.glob("*.xml"))]
        table = folder / "embedded.c"
        table.write_text(must([shop.build / "embed", *files]), encoding="utf-8")
        made = folder / "embedded.o"
        done = run([*shop.cc, *shop.flags, "-c", "-o", made, table], cwd=TOP)
        replaced = {shop.build / "obj/reference/embedded.o": made}
    if done.returncode != 0 or shop.link(folder, replaced).returncode != 0:
        return None
    return reference


def limited(command):
    return ["sh", "-c", f'ulimit -t {SLOW}; exec "$@"', "sh", *command]


def passes(command, environment, **options):
    try:
        return run(limited(command), env=environment, timeout=STUCK, **options).returncode == 0
    except subprocess.TimeoutExpired:
        return False


def passes_cases(shop, folder, environment):
    endfeel = shop.work / "endfeel"
    for want in sorted((TOP / "tests/cases").glob("*")):
        if want.suffix not in (".findings", ".xml"):
            continue
        arguments = want.with_suffix(".args")
        more = arguments.read_text(encoding="utf-8").split() if arguments.exists() else []
        form = "xml" if want.suffix == ".xml" else "csv"
        got = folder / "got"
        try:
            run(limited([endfeel, "findings", "-q", "-j1", "--today", "2030-01-01",
                         "--every-visit", "--format", form, *more, "-o", got,
                         want.with_suffix(".csv").name]),
                env=environment, cwd=TOP / "tests/cases", timeout=STUCK)
        except subprocess.TimeoutExpired:
            return False
        if not got.exists() or got.read_bytes() != want.read_bytes():
            return False
    return True


def recomputes(shop, folder, environment, reference):
    for sample in shop.samples:
        inputs = sorted(sample.glob("*.csv")) if sample.is_dir() else [sample]
        out = folder / "findings.csv"
        if not passes([shop.work / "endfeel", "findings", "-q", "-j1", "--every-visit", "--today",
                       "2030-01-01", "-o", out, sample], environment) and not out.exists():
            return False
        if not passes([sys.executable, TOP / "tests/external/recompute.py", out, "--reference",
                       reference, *inputs], environment):
            return False
    return True


def judged(shop, mutant):
    """What noticed it; "" when nothing did, None when it is none."""
    folder = place(shop)
    reference = apply(shop, mutant, folder)
    if reference is None:
        return None
    environment = dict(os.environ, LD_LIBRARY_PATH=str(folder), CK_FORK="no", LC_ALL="C", TZ="UTC",
                       CK_VERBOSITY="silent")
    for program in shop.order_of(mutant[0]):
        if not passes([program], environment, cwd=TOP):
            return program.name
    if not passes_cases(shop, folder, environment):
        return "cases"
    if not recomputes(shop, folder, environment, reference):
        return "recompute"
    return ""


def told(mutant, result):
    """A survivor is said when it is found: a run takes its time, and can be cut short."""
    if result == "":
        print(f"not noticed: {key_of(mutant)}", file=sys.stderr, flush=True)
    return result


def explained():
    """Keys of the survivors that are known: the place without its line number."""
    path = TOP / "tests/long/mutation-survivors.txt"
    text = path.read_text(encoding="utf-8") if path.exists() else ""
    return {plain(line) for line in text.splitlines() if line.startswith("src/")}


def plain(key):
    return re.sub(r":\d+:\d+:", ":", key, count=1)


def main(arguments):
    count, seed, work = int(arguments[0]), int(arguments[1]), pathlib.Path(arguments[2]).resolve()
    only = arguments[arguments.index("--only") + 1] if "--only" in arguments else ""
    work.mkdir(parents=True, exist_ok=True)
    shop = Workshop(work)
    mutants = draw(count, seed, only)
    pristine = judged(shop, (TOP / "src/rules/icf.c", 0, "", ""))
    if pristine:
        sys.exit(f"the tests do not pass with nothing broken: {pristine}")
    with concurrent.futures.ThreadPoolExecutor(2) as pool:
        results = list(pool.map(lambda m: told(m, judged(shop, m)), mutants))
    tally, survivors = {}, []
    for mutant, result in zip(mutants, results):
        if result == "":
            survivors.append(key_of(mutant))
        if result is not None:
            tally[result or "survived"] = tally.get(result or "survived", 0) + 1
    known = explained()
    for key in survivors:
        print(("explained " if plain(key) in known else "SURVIVED ") + key)
    total = sum(tally.values())
    killed = total - len(survivors)
    for name, n in sorted(tally.items(), key=lambda item: -item[1]):
        print(f"  {n:4d} {name}", file=sys.stderr)
    print(f"{killed} of {total} noticed ({100 * killed / total:.1f}%), "
          f"{len(mutants) - total} did not compile", file=sys.stderr)
    bad = [key for key in survivors if plain(key) not in known]
    # The share is of all that were drawn. Those that no test can tell are told apart, and do not
    # count as noticed; any other survivor fails the run.
    apart = len(survivors) - len(bad)
    print(f"{apart} explained as no change that a test can tell, {len(bad)} not explained: "
          f"{100 * killed / (total - apart):.1f}% of the rest noticed", file=sys.stderr)
    if killed < 0.95 * total:
        print("fewer than 95 in 100 of all drawn are noticed"
              + ("" if bad else "; every other one is explained"), file=sys.stderr)
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

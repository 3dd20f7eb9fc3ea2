"""Numbers in the code of rules, import, findings and agreement that might belong in a table of the reference.

    numbers.py ALLOW FILE...     lists what ALLOW does not name, and what ALLOW names in vain; exit 1
    numbers.py --self-test       plants numbers and looks whether they are found

Literals other than 0, 1, 2 and 100 are looked at, outside comments, strings, bounds and indices of
arrays, and shifts. A line of ALLOW is FILE NUMBER REASON; it stands for every use of that number in
that file, so a new file or a new number needs a reason of its own.
"""

import re
import sys

PLAIN = {0.0, 1.0, 2.0, 100.0}
NUMBER = re.compile(r"(?<![\w.])(0[xX][0-9a-fA-F]+|\d+\.?\d*(?:[eE][+-]?\d+)?|\.\d+)[uUlLfF]*(?![\w.])")


def code_only(text):
    """The text with comments, strings and characters blanked, line by line as before."""
    pattern = re.compile(r'/\*.*?\*/|//[^\n]*|"(?:\\.|[^"\\])*"|\'(?:\\.|[^\'\\])*\'', re.S)
    return pattern.sub(lambda m: re.sub(r"[^\n]", " ", m.group(0)), text)


def numbers(text):
    """Pairs of line and literal."""
    for at, line in enumerate(code_only(text).split("\n"), 1):
        if line.startswith("#include") or "PRINTF_LIKE" in line:
            continue
        line = re.sub(r"\[\s*\d+\s*\]", "[]", line)
        line = re.sub(r"<<\s*\d+", "<<", line)
        for match in NUMBER.finditer(line):
            literal = match.group(1)
            if literal.lower().startswith("0x") or float(literal) in PLAIN:
                continue
            yield at, literal


def read_allow(text, name):
    allow, bad = {}, []
    for at, line in enumerate(text.split("\n"), 1):
        if not line.strip() or line.startswith("#"):
            continue
        parts = line.split(None, 2)
        if len(parts) < 3:
            bad.append(f"{name}:{at}: a file, a number and a reason are needed")
        elif (parts[0], parts[1]) in allow:
            bad.append(f"{name}:{at}: stands twice")
        else:
            allow[parts[0], parts[1]] = at
    return allow, bad


def check(allow_text, files, name="allow"):
    """What is wrong: `files` pairs names with texts."""
    allow, found = read_allow(allow_text, name)
    used = set()
    for file, text in files:
        for at, literal in numbers(text):
            if (file, literal) in allow:
                used.add((file, literal))
            else:
                found.append(f"{file}:{at}: {literal} belongs in src/reference/, "
                             f"or needs a reason in {name}")
    found += [f"{name}:{at}: {key[0]} has no {key[1]} any more"
              for key, at in sorted(allow.items()) if key not in used]
    return found


def self_test():
    sound = '/* 17 */ char s[80] = "45 deg"; x = 2 * y[3] + 1; n = 1u << 20; c = \'7\'; h = 0xFF;\n'
    allow = "a.c 7 days of a week\n"
    planted = {"a plain number": "limit = 17;\n", "a decimal": "limit = .5;\n",
               "with an exponent": "limit = 1e3;\n", "a long": "limit = 30L;\n",
               "in an enum": "enum { LIMIT = 95 };\n", "after a comment": "/* 2 */ limit = 3.5;\n",
               "in a list": "static const int t[] = {4, 24};\n", "below zero": "z < -3\n"}
    wrong = []
    if check(allow, [("a.c", sound + "week = 7;\n")]):
        wrong.append("a sound file is refused")
    for what, line in planted.items():
        if not check(allow, [("a.c", sound + "week = 7;\n" + line)]):
            wrong.append(f"{what} is not found")
    if not check(allow, [("a.c", "week = 7;\n"), ("b.c", "week = 7;\n")]):
        wrong.append("a reason of one file serves another")
    if not check(allow, [("a.c", sound)]):
        wrong.append("a reason without a number stands")
    if not check("a.c 7\n", [("a.c", "week = 7;\n")]):
        wrong.append("a line without a reason stands")
    if not check(allow + allow, [("a.c", "week = 7;\n")]):
        wrong.append("a reason that stands twice is not found")
    return wrong


def read(name):
    with open(name, encoding="utf-8") as file:
        return file.read()


def main(args):
    if args == ["--self-test"]:
        found = self_test()
    else:
        found = check(read(args[0]), [(name, read(name)) for name in args[1:]], args[0])
    for line in found:
        print(f"numbers: {line}")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

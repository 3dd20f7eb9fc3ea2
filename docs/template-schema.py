"""Writes the schema of templates and parts, compact (template.rnc) and in XML (template.rng), into the
folder that is named, from the tables the program itself checks them with: src/layout/elements.c and
the parameters of the figures. `make schema` puts both under docs/schema/; a test holds those
against what this writes."""
import contextlib
import re
import sys
from pathlib import Path
from xml.sax.saxutils import escape

LENGTH = r"0|[0-9]+(\.[0-9]+)?(pt|mm|cm|in)"
DATA = {  # name: (what is said of it, type, facets)
    "filled": ("a name or a text that is not empty", "string", {"minLength": "1"}),
    "length": ("12pt, 5mm, 1.5cm, 1in or 0", "string", {"pattern": LENGTH}),
    "width": ("auto, a length, or a share such as 2*", "string",
              {"pattern": r"auto|[0-9]+(\.[0-9]+)?(pt|mm|cm|in)|([0-9]+(\.[0-9]+)?)?\*"}),
    "margins": ("one, two or four lengths", "string",
                {"pattern": rf"({LENGTH})( +({LENGTH})( +({LENGTH}) +({LENGTH}))?)?"}),
    "count": ("a whole number", "integer", {"minInclusive": "1", "maxInclusive": "1000"}),
    "grey": ("from 0, black, to 1, white", "decimal", {"minInclusive": "0", "maxInclusive": "1"}),
    "colour": ("#1a4f8b", "string", {"pattern": "#[0-9A-Fa-f]{6}"}),
}
VALUES = {"PLAIN": "filled", "XPATH": "filled", "NODES": "filled", "STYLE": "filled", "TEXT": None,
          "LENGTH": "length", "WIDTH": "width", "MARGINS": "margins", "COUNT": "count",
          "GREY": "grey", "COLOUR": "colour"}
ROOTS = ("report", "part")


def tables():
    """Elements by name: (places, content, attributes), as elements.c has them."""
    text = Path("src/layout/elements.c").read_text(encoding="utf-8")
    spec = r'\{AT_\w+, "([^"]+)", ATTR_(\w+), (true|false), (?:NULL|"([^"]*)")\}'
    sorting = re.findall(spec, text[text.index("#define SORTING"):text.index("static const")])
    attrs = {}
    for name, body in re.findall(r"attr_spec (\w+)\[\] = \{(.*?)\n\};", text, re.S):
        found = re.findall(spec, body)
        attrs[name] = found + (sorting if "SORTING" in body else [])
    flow = re.search(r"#define FLOW \((.*)\)", text).group(1)
    places = re.findall(r"\b(IN_[A-Z]+) = 1 <<", Path("src/layout/layout_int.h").read_text())
    rows = text[text.index("element_spec elements[]"):]
    rows = rows[:rows.index("\n};")]
    elements = {}
    for name, where, content, table in re.findall(
            r'\{EL_\w+, "([^"]+)",\s*(.*?), (IN_\w+|0),\s*(NULL, 0|ATTRS\(\w+\))\}', rows, re.S):
        used = set(re.findall(r"IN_[A-Z]+", where.replace("FLOW", flow)))
        if "~" in where:
            used = set(places) - used
        table = re.match(r"ATTRS\((\w+)\)", table)
        elements[name] = (used, content, attrs[table.group(1)] if table else [])
    if len(elements) != rows.count("{EL_"):
        sys.exit("template-schema.py: a row of elements.c is not understood")
    return [p for p in places if p != "IN_NOTHING"], elements


def figures():
    """Kinds of figure with their parameters."""
    kinds = {}
    for path in sorted(Path("src/figure").glob("*.c")):
        text = path.read_text(encoding="utf-8")
        kind = re.search(r'struct figure_kind figure_\w+ = \{\s*"([^"]+)"', text)
        names = re.search(r"char \*const names\[\] = \{(.*?)NULL\};", text, re.S)
        if kind and names:
            kinds[kind.group(1)] = re.findall(r'"([^"]+)"', names.group(1))
    return kinds


def attribute(name, kind, required, choices):
    value = ("values", choices.split()) if choices else \
        ("ref", VALUES[kind]) if VALUES[kind] else ("text",)
    return ("attribute", name, value) if required == "true" else \
        ("optional", ("attribute", name, value))


def grammar():
    """Definitions in order: name -> pattern."""
    places, elements = tables()
    word = {p: p[3:].lower() for p in places}
    defs = {"start": ("choice", [("ref", "e-" + n) for n in ROOTS])}
    # What a part may hold depends on where it is put. All of it together is one pattern, since a
    # choice between the places takes some validators a time that doubles with each level.
    places = places + ["IN_PART"]
    word["IN_PART"] = "part"
    part_of = {p for p in places if p in elements["include"][0]}
    for where, _, _ in elements.values():
        if where & part_of:
            where.add("IN_PART")
    for place in places:
        inside = [("ref", f"e-{n}" + ("" if c != "0" or n == "include" else f"-{word[place]}"))
                  for n, (where, c, _) in elements.items() if place in where]
        if place in ("IN_INLINE", "IN_PART"):
            inside.insert(0, ("text",))
        defs[f"in-{word[place]}"] = ("many", ("choice", inside))
    for name, (where, content, attrs) in elements.items():
        inner = [attribute(*a) for a in attrs]
        if name == "figure":
            inner = [i for i in inner if i[1] != "kind"]
            # Any number of any of them: optional each, some validators take minutes for 20.
            inner.append(("choice", [("group", [
                ("attribute", "kind", ("values", [kind])),
                ("many", ("choice", [("attribute", p, ("text",)) for p in params]))])
                for kind, params in figures().items()]))
        if name == "word":
            inner.append(("text",))
        if name == "part":
            inner.append(("ref", "in-part"))
        elif name == "include":
            pass
        elif content == "0":
            for p in places:
                if p in where:
                    defs[f"e-{name}-{word[p]}"] = \
                        ("element", name, inner + [("ref", f"in-{word[p]}")])
            continue
        elif content != "IN_NOTHING":
            inner.append(("ref", f"in-{word[content]}"))
        defs[f"e-{name}"] = ("element", name, inner or [("empty",)])
    return defs


def compact(p):
    kind = p[0]
    if kind in ("text", "empty"):
        return kind
    if kind == "ref":
        return p[1]
    if kind == "values":
        return " | ".join(f'"{v}"' for v in p[1])
    if kind == "attribute":
        return f"attribute {p[1]} {{ {compact(p[2])} }}"
    if kind == "optional":
        return compact(p[1]) + "?"
    if kind == "many":
        return f"({compact(p[1])})*"
    if kind == "group":
        return "(" + ", ".join(compact(i) for i in p[1]) + ")"
    if kind == "choice":
        return "(" + "\n    | ".join(compact(i) for i in p[1]) + ")"
    return f"element {p[1]} {{\n  " + ",\n  ".join(compact(i) for i in p[2]) + "\n}"


def xml(p, pad):
    kind = p[0]
    if kind in ("text", "empty"):
        return f"{pad}<{kind}/>\n"
    if kind == "ref":
        return f'{pad}<ref name="{p[1]}"/>\n'
    if kind == "values":
        inner = "".join(f"<value>{v}</value>" for v in p[1])
        return f"{pad}<choice>{inner}</choice>\n"
    tag, items = kind, [p[1]]
    if kind in ("group", "choice"):
        items = p[1]
    elif kind == "many":
        tag = "zeroOrMore"
    elif kind == "attribute":
        tag, items = f'attribute name="{p[1]}"', [p[2]]
    elif kind == "element":
        tag, items = f'element name="{p[1]}"', p[2]
    inner = "".join(xml(i, pad + "  ") for i in items)
    return f"{pad}<{tag}>\n{inner}{pad}</{tag.split()[0]}>\n"


def print_compact():
    print("# Templates and parts of endfeel, for editors; docs/template.md has the words.\n"
          "# Made by `make schema` from the program's own tables: change those, not this file.\n"
          "# The program checks more: expressions, names of styles, words and parts, what must\n"
          "# follow what.\n")
    for name, pattern in grammar().items():
        print(f"{name} = {compact(pattern)}\n")
    for name, (about, kind, facets) in DATA.items():
        inner = " ".join(f'{k} = "{v}"' for k, v in facets.items())
        print(f"# {about}\n{name} = xsd:{kind} {{ {inner} }}\n")


def print_xml():
    print('<?xml version="1.0" encoding="UTF-8"?>\n'
          "<!-- template.rnc in the XML form of RELAX NG, made with it by `make schema`. -->\n"
          '<grammar xmlns="http://relaxng.org/ns/structure/1.0"\n'
          '    datatypeLibrary="http://www.w3.org/2001/XMLSchema-datatypes">')
    for name, pattern in grammar().items():
        inner = xml(pattern, "    ")
        tag = "start" if name == "start" else f'define name="{name}"'
        print(f"  <{tag}>\n{inner}  </{tag.split()[0]}>")
    for name, (_, kind, facets) in DATA.items():
        inner = "".join(f'<param name="{k}">{escape(v)}</param>' for k, v in facets.items())
        print(f'  <define name="{name}"><data type="{kind}">{inner}</data></define>')
    print("</grammar>")


for form, write in (("rnc", print_compact), ("rng", print_xml)):
    with open(Path(sys.argv[1]) / f"template.{form}", "w", encoding="utf-8") as out, \
            contextlib.redirect_stdout(out):
        write()

"""Reads page dumps (endfeel report --dump pages) and judges their text.

readable.py NAME DUMP [CSV...] [+ NAME DUMP [CSV...]]...: the CSV files are the input, whose free
text is not ours to judge; each set has a name, which what is printed begins with.
Every kind must be there for every visit, keep to cautious words and carry its caution; the letter
is one short page, the patient's copy easy to read, and neither holds short forms. Prints "ok NAME"
or "FAILED NAME: why".
"""
import csv
import re
import sys

FREE_TEXT = ("name", "referrer", "referrer_address", "referral_reason", "procedure", "plan",
             "question_to_referrer", "goal_activity", "limit_by", "measured_by", "supervisor",
             "weight_bearing", "patient_id", "heading", "address")
KEYS = ("joint", "motion", "side", "test", "role", "visit_kind")
PATIENT_GRADE = 8.0   # of the Flesch-Kincaid scale
SENTENCE_WORDS = 23    # the motion of a toe alone takes twelve
LETTER_WORDS = 220    # about 200: names of people and places count, and are theirs


KINDS = {"Summary of measurements": "chart", "Letter on": "letter", "Progress report": "progress",
         "Discharge summary": "discharge", "Measurements for review": "reviewer",
         "Your measurements": "patient"}


def documents(path):
    """Yields (title, [(tags, text)], pages) for each document; a text is one innermost tag's."""
    title, texts, stack, pages = None, [], [], 0
    for line in open(path, encoding="utf-8"):
        line = line.rstrip("\n")
        if line.startswith("title "):
            if title is not None:
                yield title, texts, pages
            title, texts, stack, pages = line[7:-1], [], [], 0
        elif line.startswith("page "):
            pages += 1
        elif line.startswith("begin "):
            stack.append(line[6:].split(" ")[0])
            texts.append((tuple(stack), ""))
        elif line == "end":
            stack.pop()
        elif line.startswith("text "):
            piece = re.search(r'"(.*)"$', line).group(1).replace('\\"', '"')
            if not texts or texts[-1][0] != tuple(stack):
                texts.append((tuple(stack), ""))
            texts[-1] = (texts[-1][0], texts[-1][1] + piece)
    if title is not None:
        yield title, texts, pages


def in_prose(tags):
    return not {"Table", "Figure", "Artifact"} & set(tags)


def syllables(word):
    word = re.sub(r"[^a-z]", "", word.lower())
    if not word:
        return 1
    groups = len(re.findall(r"[aeiouy]+", word))
    if word.endswith("e") and not word.endswith(("le", "ee")) and groups > 1:
        groups -= 1
    if word.endswith("ed") and not word.endswith(("ted", "ded")) and groups > 1:
        groups -= 1
    return max(groups, 1)


def sentences(texts):
    for tags, text in texts:
        text = text.replace("\u00a0", " ").strip()
        if in_prose(tags) and text.endswith((".", "?", "!")):
            for s in re.split(r"(?<=[.?!])\s+(?=[A-Z“])", text):
                words = re.findall(r"[^\s]*\w[^\s]*", s)
                if words:
                    yield words


def grade(texts):
    n_sentences = n_words = n_syllables = longest = 0
    for words in sentences(texts):
        n_sentences += 1
        n_words += len(words)
        longest = max(longest, len(words))
        n_syllables += sum(syllables(w) for w in words)
    if n_words == 0:
        return 0.0, 0
    return 0.39 * n_words / n_sentences + 11.8 * n_syllables / n_words - 15.59, longest


def free_words(paths, all_columns=False):
    """What came with the input: of its free text, or of all cells and heads but keys and tests."""
    words = set()
    for path in paths:
        with open(path, encoding="utf-8-sig", errors="replace", newline="") as f:
            head = f.readline()
            f.seek(0)
            # Under another program's headers every cell may be free text.
            columns = FREE_TEXT if "patient_id" in head else re.split("[,;]", head.strip())
            if all_columns:
                columns = [c for c in re.split("[,;]", head.strip()) if c not in KEYS]
                words.update(re.findall(r"\w+", head))
            for row in csv.DictReader(f, delimiter=";" if ";" in head else ","):
                for column in columns:
                    value = row.get(column)
                    if isinstance(value, str):
                        words.update(re.findall(r"\w+", value))
    return words


ALLOWED = {"BEYOND", "THE", "LIMIT", "ON", "FILE", "NOT", "VALID", "UNTIL", "COUNTERSIGNED", "AMENDED", "I", "A", "a"}
SHORT = {"deg", "mm", "cm", "kg", "flex", "ext", "est", "no", "approx", "vs", "max", "min", "Jan",
         "Feb", "Mar", "Apr", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"} - {"no"}


def abbreviations(texts, own):
    """Words in capitals, single letters, known short forms, that did not come with the input."""
    found = set()
    for tags, text in texts:
        for word in re.findall(r"(?<![\w.])[^\W\d_]+(?!\w)", text):
            if word in ALLOWED or word in own or word == "s":
                continue
            if len(word) == 1 or (word.isupper()) or (word in SHORT):
                found.add(word)
    return found


LETTER_MAY = {"Mar", "Jan", "Feb", "Apr", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec", "mm", "cm"}
SHORT_MAY = {"flex", "m", "kg", "B"}   # a verb, units, a side as typed
LETTER_NEVER = r"ICF|percentile|z-score|\bz\b|neutral|standard deviation"
# Words that only a clinician may say; the two places where ours use them are taken out first.
OURS = r"states? no diagnosis|Diagnosis as recorded"
NEVER = r"(?i)diagnos\w*|caused by|due to|medical(ly)? necess\w*|consistent with"
CHART_ONLY = r"(?i)may suggest|may reflect|watch for|clinician to consider"
CAUTION = {"patient": "licensed therapist"}


def report(name, problems):
    print(f"FAILED {name}: {'; '.join(problems)}" if problems else f"ok {name}")


def check_patient(texts, own):
    level, longest = grade(texts)
    problems = [f"reading grade {level:.1f}"] if level > PATIENT_GRADE else []
    if longest > SENTENCE_WORDS:
        problems.append(f"a sentence of {longest} words")
    short = abbreviations(texts, own)
    return problems + ([f"short forms {sorted(short)}"] if short else [])


def check_letter(texts, own, pages):
    # All restrictions are told, however many.
    words = sum(len(t.split()) for tags, t in texts
                if in_prose(tags) and not t.startswith("Restrictions on file"))
    problems = [f"{words} words beside the table"] if words > LETTER_WORDS else []
    if pages != 1:
        problems.append(f"{pages} pages")
    found = re.search(LETTER_NEVER, " ".join(t for _, t in texts))
    if found:
        problems.append(f"says {found.group(0)!r}")
    short = abbreviations(texts, own) - LETTER_MAY
    return problems + ([f"short forms {sorted(short)}"] if short else [])


def check_short(texts, own):
    """Every short form is explained under "Abbreviations"; citations and names are not ours."""
    heads = [i for i, (tags, text) in enumerate(texts) if text == "Abbreviations"]
    if not heads:
        return ["does not explain its abbreviations"]
    foot = texts[heads[0] + 1][1]
    told = {word.rstrip(".") for part in foot.split("; ") for word in part.split(", ")[0].split()}
    rest = [(tags, text.replace("Medicare Part B", "")) for i, (tags, text) in enumerate(texts)
            if i != heads[0] + 1 and not re.match(r"\[\d+\] ", text)]
    used = abbreviations(rest, own) - LETTER_MAY - told - SHORT_MAY
    return [f"does not explain {sorted(used)}"] if used else []


def check_words(kind, texts):
    said = re.sub(r"\s+", " ", " ".join(t for _, t in texts))
    problems = []
    for pattern in [NEVER] + ([CHART_ONLY] if kind != "chart" else []):
        found = re.search(pattern, re.sub(OURS, "", said))
        if found:
            problems.append(f"says {found.group(0)!r}")
    if CAUTION.get(kind, "licensed clinician") not in said:
        problems.append("carries no caution")
    return problems


def judge(name, dump, *inputs):
    own, typed = free_words(inputs), free_words(inputs, all_columns=True)
    count = dict.fromkeys(KINDS.values(), 0)
    for title, texts, pages in documents(dump):
        kind = next((k for t, k in KINDS.items() if title.startswith(t)), None)
        if kind is None:
            print(f"FAILED {name}-unknown-kind: {title}")
            continue
        count[kind] += 1
        problems = check_words(kind, texts)
        if kind == "patient":
            problems += check_patient(texts, own)
        elif kind == "letter":
            problems += check_letter(texts, own, pages)
        else:
            problems += check_short(texts, typed)
        report(f"{name}-{kind}-{count[kind]}-{re.sub(r'[^A-Za-z0-9]+', '-', title)}", problems)
    report(f"{name}-every-kind-for-every-visit",
           [] if len(set(count.values())) == 1 and count["chart"] > 0 else [str(count)])


def main():
    sets = [[]]
    for word in sys.argv[1:]:
        if word == "+":
            sets.append([])
        else:
            sets[-1].append(word)
    for one in sets:
        judge(*one)


main()

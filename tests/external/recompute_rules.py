"""What docs/rules.md promises, computed a second time for recompute.py: from the readings of a
patient to the rows of the findings."""

import math
import re
import statistics

from recompute_input import agreeing, optional

# Weir 2005: MDC = z * sqrt(2) * SEM with z 1.96 and 1.645.
Z95, Z90 = 1.96, 1.645
RULE_OF_THUMB = {"intra": 5.0, "inter": 10.0}
TOO_LARGE_SHARE = 0.25
LEVER_TOLERANCE_M = 0.005
TOLERANCE, JUMP_LIMITS = 5, 2  # degrees within a visit; error limits of a gain that is asked about
ADULT = 18  # years, below which a normal value of adults is no measure
TINY = 1e-9
PEERS_RANK = (
    "YOUDAS1992 AAOS1994 FITZGERALD1983 CDC_SOUCIE2011 GILL2020 BOONE_AZEN1979 MACEDO_MAGEE2009 "
    "JUNG_YAMASAKI2016 ROACH_MILES1991 WALKER1984 ROAAS_ANDERSSON1982 HIRSCH2006 MMO_INDIA2012 "
    "ZURICH_MOC2013").split()
# Set-ups that a record of native columns does not state.
SPECIAL_SET_UPS = re.compile(r"lunge|skin-mark|fingertip-to-floor|toe-to-wall|total arc|full arc")
HEALTHY = re.compile(r"healthy|asymptomatic|non-injured|pain-free")
# The calf, the hamstrings and the thigh muscle over two joints: stretched, and not (docs/rules.md).
STRETCHES = {
    ("ankle", "dorsiflexion"): ("knee straight", "knee bent"),
    ("hip", "flexion"): ("knee straight", "knee bent"),
    ("knee", "flexion"): ("prone", "supine")}
ROLE_RANK = {"PT": 0, "PTA": 1, "": 2, "other": 2, "student": 3}


# ---- group --------------------------------------------------------------------------------------

class Finding:
    """One row of the findings, from the readings it stands for."""

    def __init__(self, readings, patient):
        first = readings[0]
        self.patient, self.readings, self.motion = patient, readings, first.motion
        self.date, self.side, self.digit = first.date, first.side, first.digit
        self.test, self.position, self.muscle = first.test, first.position, first.muscle
        self.after = first.timing == "after"
        # What a number was taken with stands over what one not taken would have been.
        spoken = sorted(readings, key=lambda r: not r.has_number())
        self.tool = next((r.tool for r in spoken if r.tool), "")
        self.technique = next((r.technique for r in spoken if r.technique), "")
        self.measurer = next((r.measurer for r in readings if r.measurer), "")
        self.role = next((r.role for r in readings if r.role), "")
        self.end_feel = next((r.end_feel for r in readings if r.end_feel), "")
        self.second_measurer = self.doubtful = self.measurers_differ = False
        self.passive_below_active = self.side_undecided = self.below_lack = False
        self.then_unclear = self.taut = self.taut_now = self.jump = False
        with_number = [r for r in readings if r.has_number()]
        order = ["held-back", "not-tested", "no-angle", "not-applicable", "not-recorded"]
        if with_number:
            estimated = any(r.status == "estimated" for r in with_number)
            self.status = "estimated" if estimated else "measured"
        else:
            self.status = min((r.status for r in readings), key=order.index)
        self.tries = [t for r in with_number for t in r.tries]
        self.end = statistics.fmean(self.tries) if self.tries and self.test != "force" else None
        self.force = statistics.fmean(self.tries) if self.tries and self.test == "force" else None
        self.sd = statistics.stdev(self.tries) if len(self.tries) > 1 else None
        starts = [r.start for r in with_number if r.start is not None]
        self.start = statistics.fmean(starts) if starts else None
        levers = {r.lever for r in with_number} if self.test == "force" else set()
        self.lever = levers.pop() if len(levers) == 1 else None
        grades = {r.grade for r in with_number if r.grade is not None}
        self.grade = grades.pop() if len(grades) == 1 else None
        if len(grades) > 1:  # none of them is used
            self.status = "held-back"

    def has_number(self):
        return self.status in ("measured", "estimated")

    def is_range(self):
        return self.test in ("AROM", "PROM")

    def line(self):
        """What must be the same for two rows to be compared at all."""
        return (self.motion.joint, self.motion.motion, self.digit, self.test, self.muscle)


def joined(a, b):
    """Unstated joins stated; a position does not. Tools part numbers alone."""
    pairs = [(a.measurer, b.measurer)]
    if a.has_number() and b.has_number():
        pairs += [(a.tool, b.tool), (a.technique, b.technique)]
    return all(x == y or not x or not y for x, y in pairs)


def group(patient):
    places = {}
    for reading in patient.readings:
        key = (reading.date, reading.motion.order, reading.side, reading.digit, reading.test,
               reading.timing == "after", reading.position, reading.muscle)
        groups = places.setdefault(key, [])
        for members in groups:
            if all(joined(reading, member) for member in members):
                members.append(reading)
                break
        else:
            groups.append([reading])
    findings = []
    for groups in places.values():
        rows = [Finding(members, patient) for members in groups]
        by_others(rows)
        findings += rows
    return findings


def by_others(rows):
    """Of rows by several people one speaks: with a number, then by role, then as in the file."""
    if len({row.measurer for row in rows}) < 2:
        return
    speaking = min(rows, key=lambda r: (not r.has_number(), ROLE_RANK.get(r.role, 2)))
    for row in rows:
        row.second_measurer = row is not speaking and row.measurer != speaking.measurer
        if row.second_measurer and row.is_range() and row.motion.unit == "deg" and \
                None not in (row.end, speaking.end) and \
                abs(row.end - speaking.end) > TOLERANCE + TINY:
            row.measurers_differ = speaking.measurers_differ = True


# ---- normal and deficit -------------------------------------------------------------------------

def fits_age(norm, age):
    low, high = float(norm["age-min"]), float(norm["age-max"])
    if age is None:
        return low == 0 and high >= 120
    whole = float(high).is_integer()
    return low <= age and (age < high + 1 if whole else age <= high)


def fits_sex(norm, sex):
    return norm["sex"] == "any" or norm["sex"] == sex


def states_position(norm, position):
    """The qualifier of a special row names the position of the record."""
    qualifier = norm.get("qualifier", "")
    if "dominant" in qualifier:
        return False
    for stated, named in (("arm at side", "arm at side"), ("prone", "prone"),
                          ("sitting", "seated"), ("seated", "seated")):
        if re.search(rf"\b{stated}\b", position) and re.search(rf"\b{named}\b", qualifier):
            return True
    return False


def digit_of_qualifier(qualifier):
    found = re.fullmatch(r"toes? (\d)(?:-(\d))?", qualifier)
    return (int(found[1]), int(found[2] or found[1])) if found else None


FINGERS = {"index finger": "2", "long finger": "3", "ring finger": "4", "little finger": "5"}


def is_of_digit(norm, finding):
    """A row without a qualifier is of any digit; of all that a row may say only digits fit here."""
    qualifier = norm.get("qualifier", "")
    span = digit_of_qualifier(qualifier)
    if span is not None:
        return finding.digit != "" and span[0] <= int(finding.digit) <= span[1]
    if qualifier in FINGERS:
        return finding.digit == FINGERS[qualifier]
    return qualifier == "" and norm["role"] != "special" or \
        qualifier == "great toe" and finding.digit == "1"


def of_profile(finding, profile):
    """The row of the first source of the profile that has one with the zero of the default."""
    default = finding.motion.default
    for source in profile:
        for norm in finding.motion.normals:
            if norm["source-id"] == source and norm["role"] != "stratum" and \
                    norm["side"] == "any" and \
                    all(norm[name] == default[name] for name in ("unit", "better")) and \
                    (float(norm["normal-deg"]) > 0) == (float(default["normal-deg"]) > 0) and \
                    fits_age(norm, finding.patient.age_on(finding.date)) and \
                    fits_sex(norm, finding.patient.sex) and is_of_digit(norm, finding):
                return norm
    return None


def choose_normal(finding, profile):
    """The row a motion is held against, and what is special about it."""
    motion = finding.motion
    default = motion.default
    finding.normal, finding.normal_for_position, finding.other_position = default, False, False
    if default is None or not finding.is_range():
        finding.normal = None
        return
    age, sex = finding.patient.age_on(finding.date), finding.patient.sex
    special = [n for n in motion.normals if n["role"] == "special" and n["unit"] == motion.unit
               and n["better"] == default["better"] and fits_age(n, age) and fits_sex(n, sex)]
    if finding.position:
        stated = [n for n in special if states_position(n, finding.position)]
        if stated:
            finding.normal, finding.normal_for_position = stated[0], True
            return
        # Rotation of the shoulder is tabled with the arm abducted to 90.
        finding.other_position = motion.joint == "shoulder" and \
            motion.motion.endswith("-rotation") and "arm at side" in finding.position
        # The hamstrings end hip flexion with the knee straight long before the joint does.
        finding.other_position |= (motion.joint, motion.motion) == ("hip", "flexion") and \
            re.search(r"knee (straight|extended)|straight leg", finding.position) is not None
    infant = [n for n in special if re.search(r"infant", n.get("qualifier", ""))]
    if age is not None and infant:
        finding.normal = infant[0]
        return
    if (wanted := of_profile(finding, profile)) is not None:
        finding.normal = wanted
        return
    if default.get("qualifier") == "great toe" and finding.digit not in ("", "1"):
        digit = int(finding.digit)
        fitting = [n for n in special
                   if (span := digit_of_qualifier(n.get("qualifier", ""))) is not None
                   and span[0] <= digit <= span[1]]
        same = [n for n in fitting if n["source-id"] == default["source-id"]]
        finding.normal = (same or fitting or [None])[0]


def deficit(finding):
    finding.deficit = finding.percent = None
    if finding.end is None or finding.normal is None:
        return
    normal = float(finding.normal["normal-deg"])
    short = finding.end - normal if finding.normal["better"] == "lower" else normal - finding.end
    finding.deficit = max(0.0, short)
    if normal > 0:
        finding.percent = 100 * finding.deficit / normal


# ---- error --------------------------------------------------------------------------------------

class Limit:
    def __init__(self, basis="", sem=None, mdc90=None, mdc95=None, limit=None, source=""):
        self.basis, self.sem, self.mdc90, self.mdc95 = basis, sem, mdc90, mdc95
        self.limit, self.source = limit, source
        self.probable = mdc90


def instrument_of(finding, then=None):
    """A tool that is not stated is that of the reading it is held against, else the usual one."""
    tool = finding.tool or then is not None and then.tool or finding.motion.usual_tool
    known = {"goniometer": "universal-goniometer", "visual": "visual", "by eye": "visual"}
    return known.get(tool, tool)


def figures_of(row):
    """SEM, MDC90 and MDC95 of a study and whether its MDC95 was published as such."""
    sem, mdc90, mdc95 = (optional(row.get(k)) for k in ("sem", "mdc90", "mdc95"))
    published = mdc95 is not None and "derived" not in row["how-known"]
    if mdc95 is None and sem is not None:
        mdc95 = Z95 * math.sqrt(2) * sem
    elif mdc95 is None and mdc90 is not None:
        mdc95 = mdc90 * Z95 / Z90
    if mdc90 is None and sem is not None:
        mdc90 = Z90 * math.sqrt(2) * sem
    elif mdc90 is None and mdc95 is not None:
        mdc90 = mdc95 * Z90 / Z95
    return sem, mdc90, mdc95, published


def study_of(finding, repeat, errors, then=None):
    """The study row that judges, by the order of docs/rules.md, or None."""
    mode = {"AROM": "active", "PROM": "passive"}[finding.test]
    best, best_rank = None, None
    tool = instrument_of(finding, then)
    for row in errors.get((finding.motion.joint, finding.motion.motion), ()):
        if row["unit"] != finding.motion.unit or row["rater"] != repeat:
            continue
        if row.get("mode", "") not in ("", mode):
            continue
        if row.get("instrument", tool if tool != "visual" else "") != tool:
            continue
        text = row.get("population", "") + " " + row["how-known"]
        if SPECIAL_SET_UPS.search(text):
            continue
        figures = figures_of(row)
        if figures[2] is None:
            continue
        rank = (not row.get("mode"), not row.get("instrument"),
                HEALTHY.search(row.get("population", "")) is not None, not figures[3],
                -figures[2])
        if best is None or rank < best_rank:
            best, best_rank = (row, figures), rank
    return best


def rule_of_thumb(finding, repeat, then=None):
    if finding.motion.unit != "deg":
        return Limit()
    if instrument_of(finding, then) == "visual":
        repeat = "inter"
    return Limit("rule-of-thumb", limit=RULE_OF_THUMB[repeat], source="COMMON")


def limit_of(finding, repeat, reference, then=None):
    if not finding.is_range() or finding.end is None:
        return Limit()
    thumb = rule_of_thumb(finding, repeat, then)
    if instrument_of(finding, then) == "visual" and finding.motion.unit == "deg":
        return thumb
    study = study_of(finding, repeat, reference.errors, then)
    if study is None:
        return thumb
    row, (sem, mdc90, mdc95, published) = study
    normal = float(finding.motion.default["normal-deg"])
    if finding.normal is not None:
        normal = float(finding.normal["normal-deg"])
    if normal > 0 and mdc95 > TOO_LARGE_SHARE * normal and thumb.limit is not None:
        return thumb
    if thumb.limit is not None and mdc95 < thumb.limit - TINY:
        return thumb
    return Limit("published" if published else "derived", sem, mdc90, mdc95, mdc95,
                 row["source-id"])


def no_less(two, one):
    """The wider error of one rater stands for two as well."""
    if None not in (two.limit, one.limit) and two.limit < one.limit:
        return one
    return two


# ---- icf, peers ---------------------------------------------------------------------------------

def icf_of(finding):
    if finding.percent is None:
        return None
    if finding.error.limit is not None and finding.deficit <= finding.error.limit + TINY:
        return 0
    percent = math.floor(min(100.0, finding.percent) + 0.5 + TINY)
    return sum(percent >= start for start in (5, 25, 50, 96))


def choose_peers(finding):
    patient, motion = finding.patient, finding.motion
    if finding.normal_for_position or finding.other_position or finding.end is None or \
            not finding.is_range():
        return None
    age = patient.age_on(finding.date)
    mode = {"AROM": "active", "PROM": "passive"}[finding.test]
    candidates = []
    for order, norm in enumerate(motion.normals):
        if norm["role"] != "stratum" or norm["unit"] != motion.unit or age is None:
            continue
        if not fits_age(norm, age) or not fits_sex(norm, patient.sex):
            continue
        if norm["side"] not in ("any", finding.side):
            continue
        if norm.get("qualifier") == "dominant hand" and patient.dominant and \
                patient.dominant != finding.side:
            continue
        modes = [mode, "unspecified"]
        rank = modes.index(norm["mode"]) if norm["mode"] in modes else 2
        source = PEERS_RANK.index(norm["source-id"]) if norm["source-id"] in PEERS_RANK else 99
        width = float(norm["age-max"]) - float(norm["age-min"])
        candidates.append((rank, norm["sex"] == "any", width, source, order, norm))
    return min(candidates, key=lambda c: c[:5])[5] if candidates else None


def peers(finding):
    finding.peers = choose_peers(finding)
    finding.z = finding.percentile = None
    if finding.peers is None or "sd-deg" not in finding.peers:
        return
    finding.z = (finding.end - float(finding.peers["normal-deg"])) / float(finding.peers["sd-deg"])
    finding.percentile = 50 * math.erfc(-finding.z / math.sqrt(2))


# ---- comparing rows -----------------------------------------------------------------------------

def has_value(finding):
    value = finding.grade if finding.test == "MMT" else value_of(finding)
    return finding.has_number() and value is not None


def speaks(finding):
    return has_value(finding) and not finding.second_measurer


def speaks_later(finding):
    return speaks(finding) and not finding.after and not finding.doubtful and not finding.taut


def doubt(findings):
    """Passive clearly less than active: the passive reading is not compared."""
    for passive in findings:
        if passive.test != "PROM" or passive.end is None or passive.second_measurer:
            continue
        for active in findings:
            same = active.test == "AROM" and active.end is not None and \
                not active.second_measurer and active.motion is passive.motion and \
                active.date == passive.date and \
                (active.side, active.digit, active.after) == \
                (passive.side, passive.digit, passive.after) and \
                agreeing(active.position, passive.position)
            lower = passive.motion.lower_is_better()
            if same and (active.end - passive.end) * (-1 if lower else 1) > TOLERANCE + TINY:
                passive.doubtful = True
                active.passive_below_active = passive.passive_below_active = True


def pairs_of(rows):
    """Right and left of the rows of one visit that speak for it and were taken alike."""
    rows = sorted((f for f in rows if has_value(f) and not f.after and not f.second_measurer),
                  key=lambda f: (f.position, f.muscle))
    for right in (f for f in rows if f.side == "right"):
        left = next((f for f in rows if f.side == "left" and f.line() == right.line()
                     and agreeing(f.position, right.position)), None)
        if left is not None:
            yield right, left


def stretched_pairs(rows):
    """Ranges of one motion of a day, with the muscle stretched and without, where the first goes
    further: it cannot."""
    ranges = [f for f in rows if f.is_range() and f.end is not None and not f.second_measurer
              and (f.motion.joint, f.motion.motion) in STRETCHES]
    for taut in ranges:
        straight, bent = STRETCHES[taut.motion.joint, taut.motion.motion]
        if straight not in taut.position or bent in taut.position:
            continue
        for slack in ranges:
            if (slack.date, slack.side, slack.after) == (taut.date, taut.side, taut.after) and \
                    slack.line() == taut.line() and bent in slack.position and \
                    straight not in slack.position and taut.end - slack.end > TOLERANCE + TINY:
                yield taut, slack


def number_of_row(finding, reference):
    return reference.grades[finding.grade] if finding.test == "MMT" else value_of(finding)


def swap_limit(finding, reference):
    return 1.0 if finding.test == "MMT" else limit_of(finding, "intra", reference).limit


def swapped(pair, then, limit, reference):
    """Exchanged, straight, or too alike to tell."""
    right, left = (number_of_row(f, reference) for f in pair)
    right_then, left_then = (number_of_row(f, reference) for f in then)
    now, before = right - left, right_then - left_then
    if abs(now) < limit - TINY or abs(before) < limit - TINY:
        return None
    straight = abs(right - right_then) + abs(left - left_then)
    crossed = abs(right - left_then) + abs(left - right_then)
    moved = abs(right - right_then) >= limit - TINY and abs(left - left_then) >= limit - TINY
    return (now > 0) != (before > 0) and moved and straight >= 2 * crossed - TINY


def swaps(findings, reference):
    """Visits oldest first: each is held against the last one whose sides are not in doubt."""
    by_day = {}
    for finding in findings:
        finding.swapped = False
        by_day.setdefault(finding.date, []).append(finding)
    days = sorted(by_day)
    for n, day in enumerate(days):
        pairs = list(pairs_of(by_day[day]))
        found = {}
        for pair in pairs:
            limit = swap_limit(pair[0], reference)
            before = next((then for earlier in reversed(days[:n])
                           for then in pairs_of(by_day[earlier])
                           if then[0].line() == pair[0].line() and not then[0].swapped
                           and agreeing(then[0].position, pair[0].position)), None)
            if limit is not None and before is not None:
                found[pair] = swapped(pair, before, limit, reference)
        exchanged = [pair for pair, said in found.items() if said]
        if exchanged and False not in found.values():
            exchanged = [(a, b) for a, b in pairs if (a, b) in exchanged or
                         swap_limit(a, reference) is not None and
                         abs(number_of_row(a, reference) - number_of_row(b, reference)) >=
                         swap_limit(a, reference) - TINY]
        for pair in exchanged:
            for finding in pair:
                finding.swapped = finding.doubtful = True


def closeness(finding, other):
    """Same position first, then the same set-up."""
    setup = all(a == b for a, b in ((finding.tool, other.tool),
                                    (finding.technique, other.technique)))
    return (finding.position != other.position, not setup)


def other_side(finding, findings, reference):
    finding.other = finding.other_date = finding.difference = finding.index = None
    finding.beyond = ""
    if finding.motion.midline or finding.test == "MMT" or not has_value(finding):
        return
    wanted = {"right": "left", "left": "right"}[finding.side]
    line = finding.line()
    candidates = [f for f in findings if f.side == wanted and f.line() == line
                  and f.after == finding.after and comparable(finding, f)]
    same_day = [f for f in candidates if f.date == finding.date and speaks(f)]
    # Of an earlier day the closest reading, unless that one is in doubt.
    earlier = [min(of_day, key=lambda f: closeness(finding, f)) for of_day in
               ([f for f in candidates if f.date == day and speaks(f)] for day in
                sorted({f.date for f in candidates if f.date < finding.date}, reverse=True))
               if of_day]
    earlier = [f for f in earlier if speaks_later(f)]
    if not same_day and not earlier:
        return
    other = min(same_day, key=lambda f: closeness(finding, f)) if same_day else earlier[0]
    day = other.date
    finding.other_row = other
    this, that = value_of(finding), value_of(other)
    finding.other = that
    finding.other_date = "" if day == finding.date else day
    finding.difference = this - that
    normal = float(finding.normal["normal-deg"]) if finding.normal is not None else None
    positive = normal is not None and normal > 0 or finding.test == "force"
    if positive and that > 0 and this >= 0:
        finding.index = 100 * this / that
    judge_side(finding, other, reference)


def judge_side(finding, other, reference):
    one = finding.error.limit
    if one is None or "estimated" in (finding.status, other.status):
        return
    size = abs(finding.difference)
    two = one
    if finding.measurer and other.measurer and finding.measurer != other.measurer:
        two = no_less(limit_of(finding, "inter", reference), finding.error).limit or one
    if size >= max(one, two) - TINY:
        finding.beyond = "yes"
    elif size < one - TINY:
        finding.beyond = "no"
    else:
        finding.side_undecided = True


def value_of(finding):
    return finding.force if finding.test == "force" else finding.end


def limited_of(finding):
    if finding.deficit is None:
        return ""
    if finding.deficit <= 0:
        return "no"
    lower = finding.normal["better"] == "lower"
    worse_than_other = finding.beyond == "yes" and (finding.difference > 0) == lower
    moderate = finding.percent >= 25 - TINY if finding.percent is not None \
        else finding.deficit >= 10 - TINY
    enough = finding.z is not None and finding.z <= -2 + TINY or \
        finding.z is None and moderate or worse_than_other or \
        finding.z is None and finding.other is None
    age = finding.patient.age_on(finding.date)
    child = age is not None and age < ADULT and finding.peers is None and \
        not finding.normal_for_position and float(finding.normal["age-max"]) >= ADULT
    if finding.other_position or child:
        enough = worse_than_other
    limit = finding.error.limit
    over = limit is not None and finding.deficit > limit + TINY
    return "yes" if over and enough else "below-handbook"


def same_lever(a, b):
    """Forces compare at the same lever, to 5 mm, or where one is not stated."""
    if a.test != "force" or a.lever is None or b.lever is None:
        return True
    return abs(a.lever - b.lever) <= LEVER_TOLERANCE_M + TINY


def comparable(now, then):
    return same_lever(now, then) and agreeing(now.position, then.position) and \
        agreeing(now.tool, then.tool) and agreeing(now.technique, then.technique)


class Change:
    date = value = change = None
    verdict = ""
    two = unnamed = False


def compare(now, then, is_comparable, reference):
    result = Change()
    result.date = then.date
    if now.test == "MMT":
        result.value = reference.grades[then.grade]
        change = reference.grades[now.grade] - result.value
    else:
        result.value = value_of(then)
        change = value_of(now) - result.value
        if now.motion.lower_is_better():
            change = -change
    if not is_comparable:
        result.verdict = "not-comparable"
        return result
    result.change = change
    two = bool(now.measurer and then.measurer and now.measurer != then.measurer)
    result.two, result.unnamed = two, not (now.measurer and then.measurer)
    if "estimated" in (now.status, then.status):
        return result
    size = abs(change)
    if now.test == "MMT":
        beyond = size > 1 + TINY if two else size >= 1 - TINY
        result.verdict = "beyond-error" if beyond else "within-error"
        return result
    limit = limit_of(now, "intra", reference, then)
    if two:
        limit = no_less(limit_of(now, "inter", reference, then), limit)
    if limit.limit is None:
        return result
    result.error = limit
    if size >= limit.limit - TINY:
        result.verdict = "beyond-error"
    elif limit.probable is not None and size >= limit.probable - TINY:
        result.verdict = "probable"
    else:
        result.verdict = "within-error"
    return result


def changes(finding, findings, reference):
    finding.previous = finding.first = Change()
    if finding.after or not has_value(finding):
        return
    line = finding.line()
    earlier = [f for f in findings if f.side == finding.side and f.date < finding.date
               and f.line() == line and has_value(f) and not f.after and not f.doubtful and not f.taut]
    choices = [choose_then(finding, [f for f in earlier if f.date == day])
               for day in sorted({f.date for f in earlier})]
    pool = [c for c in choices if c[1]] or choices
    if pool:
        for name, (then, is_comparable) in (("previous", pool[-1]), ("first", pool[0])):
            finding.then_unclear |= comparable(finding, then) and not is_comparable
            judged = is_comparable and not finding.doubtful
            setattr(finding, name, compare(finding, then, judged, reference))


def choose_then(now, rows):
    """Of the rows of one earlier visit: same position, same set-up, the one that spoke then, same
    person. Several positions then and none stated now: nobody knows which one to compare with."""
    then = min(rows, key=lambda f: (
        not comparable(now, f), f.position != now.position,
        (f.tool, f.technique) != (now.tool, now.technique), f.second_measurer,
        f.measurer != now.measurer))
    unclear = then.position != now.position and any(
        comparable(now, f) and not agreeing(f.position, then.position) for f in rows)
    return then, comparable(now, then) and not unclear


def jump(finding):
    """A gain over twice its error limit that goes beyond the other side."""
    gain, limit = finding.previous.change, getattr(finding.previous, "error", Limit()).limit
    sign = -1 if finding.motion.lower_is_better() and finding.is_range() else 1
    finding.jump = finding.test != "MMT" and None not in (gain, limit, finding.other) and \
        gain > JUMP_LIMITS * limit + TINY and \
        sign * value_of(finding) > sign * finding.other + TINY


def torque(finding):
    finding.torque = finding.per_mass = None
    if finding.force is not None and finding.lever is not None:
        finding.torque = finding.force * finding.lever
        mass = finding.patient.mass_on(finding.date)
        if mass:
            finding.per_mass = finding.torque / mass


def rounded(value):
    """One decimal, half away from zero, without a needless .0."""
    tenths = math.floor(abs(value) * 10 + 0.5 + TINY)
    text = f"{tenths // 10}.{tenths % 10}"
    return text.removesuffix(".0")


# Written first, away from the body, by the teaching pages the reference names; of the spine left.
WRITTEN_FIRST = ("extension abduction external-rotation supination dorsiflexion radial-deviation "
                 "horizontal-abduction inversion").split()
SPINE = ("cervical", "trunk")


def other_end(finding, findings):
    """The reading of the other end of the arc, taken the same way on the day."""
    motion = finding.motion
    spine = motion.joint in SPINE and motion.opposite == "other-side"
    side = {"right": "left", "left": "right"}[finding.side] if spine else finding.side
    wanted = motion.motion if spine else motion.opposite
    pair = [f for f in findings if f.date == finding.date and f.end is not None
            and f.motion.joint == motion.joint and f.motion.motion == wanted
            and (f.side, f.digit, f.test, f.after) ==
            (side, finding.digit, finding.test, finding.after)
            and all(agreeing(getattr(f, name), getattr(finding, name))
                    for name in ("position", "tool", "measurer"))]
    return min(pair, key=lambda f: f.position != finding.position) if pair else None


def in_order(finding, other):
    spine = finding.motion.opposite == "other-side"
    is_first = finding.side == "left" if spine else finding.motion.motion in WRITTEN_FIRST
    return (finding, other) if is_first else (other, finding)


def contradict(finding, other):
    """One end lies before the place where the other motion stops."""
    first, last = in_order(finding, other)
    return -first.end > last.end + TINY


def neutral_zero(finding, findings):
    """Both ends of the arc of one day, the 0 at the end that is not reached."""
    motion = finding.motion
    if finding.end is None or motion.unit != "deg" or not motion.opposite:
        return ""
    other = other_end(finding, findings)
    partner = other_end(other, findings) if other is not None else None
    if partner is None:
        return ""
    # Each reading stands in one pair; where that contradicts itself, others may as well.
    if contradict(other, partner):
        if contradict(finding, other):
            finding.below_lack = other.below_lack = True
        return ""
    if partner is not finding:
        return ""
    first, last = in_order(finding, other)
    if first.end < 0:
        return f"0-{rounded(first.end)}-{rounded(last.end)}"
    if last.end < 0:
        return f"{rounded(first.end)}-{rounded(last.end)}-0"
    return f"{rounded(first.end)}-0-{rounded(last.end)}"


def evaluate(patient, reference):
    # Of rows that fit alike the first in the findings counts.
    findings = sorted(group(patient), key=lambda f: (f.position, f.muscle))
    for finding in findings:
        choose_normal(finding, reference.clinic.profile)
        finding.normal_if_measured = finding.normal
        if not finding.has_number():
            finding.normal = None
        deficit(finding)
        finding.error = limit_of(finding, "intra", reference)
        finding.icf = icf_of(finding)
        peers(finding)
        torque(finding)
    doubt(findings)
    swaps(findings, reference)
    pairs = list(stretched_pairs(findings))
    for finding in (f for pair in pairs for f in pair):
        finding.taut = True
    for finding in findings:
        other_side(finding, findings, reference)
        finding.limited = limited_of(finding)
        changes(finding, findings, reference)
        finding.neutral_zero = neutral_zero(finding, findings)
        jump(finding)
    for taut, slack in pairs:  # on the day itself a jump tells which of the two is in doubt
        if not taut.jump and not slack.jump:
            taut.taut_now = slack.taut_now = True
    return findings

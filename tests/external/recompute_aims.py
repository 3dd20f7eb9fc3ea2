"""Goals and limits of a findings CSV, worked out again from the input rows.

What is told of a visit rests on the rows of that day and before, and on rows without a date. The
words of goals come in one order, first that holds: not-measured, in-doubt, met, worse, overdue,
within-error, on-course, behind.
"""

import datetime

from recompute_input import date_of, optional, side_of
from recompute_rules import TINY, agreeing, comparable, compare, limit_of, value_of

FOREVER = datetime.date.max
LOWER_LIMB = ("hip", "knee", "ankle", "subtalar", "toe-mtp", "toe-ip")
ON_FEET = ("standing", "heel rise", "heel rises", "lunge", "squat", "weight bearing",
           "weight-bearing")


def day(text):
    return date_of(text) if text else None


def rows_known_on(patient, date):
    return [row for row in patient.rows if not row["visit_date"] or row["visit_date"] <= date]


def place_of(row, reference):
    motion = reference.motions.get((row["joint"], row["motion"]))
    if motion is None:
        return None, None
    return motion, (motion.joint, motion.motion, side_of(row, motion), row.get("digit", ""))


# ---- goals ---------------------------------------------------------------------------------------

class Goal:
    def __init__(self, row, motion, place, reference):
        self.motion, self.place, self.test = motion, place, row["test"]
        self.id, self.set_on = row.get("goal_id", ""), None
        self.due = self.target = self.given = None
        self.hear(row, reference)

    def key(self):
        return (self.place, self.test, self.id.lower(), self.target if not self.id else None)

    def hear(self, row, reference):
        """Takes from one more row what was not known before; set on the first day that names it."""
        text = row.get("goal_value", "")
        if self.target is None and text:
            self.target = reference.grades[text] if self.test == "MMT" else float(text)
        self.due = self.due or day(row.get("goal_due"))
        if self.given is None:
            self.given = optional(row.get("goal_baseline"))
        named = day(row.get("goal_set_on")) or day(row["visit_date"])
        if named and (self.set_on is None or named < self.set_on):
            self.set_on = named

    def more_is_better(self):
        lower = self.test in ("AROM", "PROM") and self.motion.lower_is_better()
        return -1 if lower else 1

    def runs_back(self):
        """Less than there was is the aim."""
        sign = self.more_is_better()
        return self.given is not None and sign * self.given > sign * self.target + TINY

    def towards(self):
        """1 where more is towards the target."""
        sign = self.more_is_better()
        return -sign if self.runs_back() else sign

    def order(self, today):
        """Next due first, then without a due date, then past due with the latest first."""
        if self.due is None:
            return (1, 0)
        left = (self.due - today).days
        return (0, left) if left >= 0 else (2, -left)


def goals_on(patient, date, reference):
    goals = {}
    for row in rows_known_on(patient, date):
        if not row.get("goal_id") and not row.get("goal_value"):
            continue
        motion, place = place_of(row, reference)
        goal = Goal(row, motion, place, reference)
        known = goals.setdefault(goal.key(), goal)
        if known is not goal:
            known.hear(row, reference)
    today = date_of(date)
    return [g for g in goals.values()
            if g.target is not None and (g.set_on is None or g.set_on <= today)]


def number(finding, reference):
    if finding.test == "MMT":
        return reference.grades[finding.grade] if finding.grade else None
    return value_of(finding)


def is_of(goal, finding):
    return (finding.motion.joint, finding.motion.motion, finding.side, finding.digit) == \
        goal.place and finding.test == goal.test and not finding.after and \
        not finding.second_measurer


def likeness(now, then):
    """How alike two readings were taken: position, then tool and the like, then muscle."""
    def fit(a, b):
        return 2 if a == b else 1 if agreeing(a, b) else 0
    alike = comparable(now, then) and agreeing(now.muscle, then.muscle)
    set_up = fit(now.tool, then.tool)
    if now.test not in ("AROM", "PROM"):
        set_up = min(set_up, fit(now.technique, then.technique))
    if now.test == "force":
        set_up = min(set_up, 2 if now.lever == then.lever else
                     1 if None in (now.lever, then.lever) or comparable(now, then) else 0)
    return (alike, 4 * fit(now.position, then.position) + set_up + fit(now.muscle, then.muscle))


class Standing:
    """A goal at a visit: the row it hangs on, its baseline, and how it stands."""

    def __init__(self, goal, date, findings, suspect, reference):
        self.goal, self.today = goal, date_of(date)
        self.percent, self.status, self.row = None, "not-measured", None
        self.flags = set()
        mine = sorted((f for f in findings if is_of(goal, f)),  # as rows stand in the findings
                      key=lambda f: (f.position, f.muscle))
        now = [f for f in mine if f.date == date]

        def usable(finding):
            known = number(finding, reference) is not None and not finding.doubtful
            return known and not (suspect(finding) if finding.date == date else finding.taut)

        since = [f for f in mine if f.date <= date and usable(f) and
                 (goal.set_on is None or date_of(f.date) >= goal.set_on)]
        first = min((f.date for f in since), default=None)
        starts = [f for f in since if f.date == first]
        pairs = [(a, b) for a in now if usable(a) for b in starts
                 if first != date or a is b]
        if pairs:
            self.row, then = max(pairs, key=lambda pair: likeness(*pair))
            if goal.runs_back():
                self.flags.add("goal-runs-back")
            self.judge(then, reference)
        elif now:
            self.row = next((f for f in now if number(f, reference) is not None), now[0])
            if number(self.row, reference) is not None:
                self.status = "in-doubt"

    def judge(self, then, reference):
        goal, now = self.goal, self.row
        value, sign = number(now, reference), goal.towards()
        given = goal.given is not None
        baseline = goal.given if given else number(then, reference)
        start = goal.set_on if given else date_of(then.date)
        if goal.target != baseline:
            self.percent = 100 * (value - baseline) / (goal.target - baseline)
        verdict = self.verdict(then, abs(value - baseline), given, reference)
        late = goal.due is not None and goal.due < self.today
        line = baseline
        if goal.due is not None and start is not None:
            whole = (goal.due - start).days
            share = min(1, (self.today - start).days / whole) if whole > 0 else 1
            line = baseline + share * (goal.target - baseline)
        if sign * value >= sign * goal.target - TINY:
            self.status = "met"
        elif verdict == "beyond-error" and sign * (value - baseline) < 0:
            self.status = "worse"
        elif late:
            self.status = "overdue"
        elif verdict == "within-error":
            self.status = "within-error"
        else:
            self.status = "on-course" if sign * value >= sign * line - TINY else "behind"

    def verdict(self, then, size, given, reference):
        now = self.row
        if not given:
            if not likeness(now, then)[0]:
                self.flags.add("goal-other-setup")
                return ""
            return compare(now, then, True, reference).verdict
        if now.status == "estimated":
            return ""
        limit = limit_of(now, "intra", reference)
        if limit.limit is None:
            return ""
        if size >= limit.limit - TINY:
            return "beyond-error"
        probable = limit.probable is not None and size >= limit.probable - TINY
        return "probable" if probable else "within-error"


# ---- limits --------------------------------------------------------------------------------------

LIMIT_FLAGS = {"range": "beyond-limit", "resistance": "resistance-not-allowed",
               "weight-bearing": "standing-against-limit", "no-test": "tested-against-limit"}


def limits_of(finding, reference):
    """Status and value of the limit of a row that is told first."""
    told = limits_told(finding, reference)
    return min(told, key=lambda t: t[0])[1:3] if told else ("", None)


def limits_passed(finding, reference):
    return {LIMIT_FLAGS[kind] for _, status, _, kind in limits_told(finding, reference)
            if status == "beyond"}


def limits_told(finding, reference):
    """Order, status, value and kind of each limit of a row."""
    today = date_of(finding.date)
    told = []
    for row in rows_known_on(finding.patient, finding.date):
        kind = row.get("limit_kind")
        if not kind or row.get("limit_test") not in ("", finding.test):
            continue
        motion, place = place_of(row, reference)
        if motion is not None and place != (finding.motion.joint, finding.motion.motion,
                                            finding.side, finding.digit):
            continue
        begin, end = day(row.get("limit_from")), day(row.get("limit_until")) or FOREVER
        if begin is not None and begin > today or not speaks_of(kind, finding):
            continue
        if end < today and kind != "range":
            continue
        value = optional(row.get("limit_value"))
        status = "expired" if end < today else held(kind, finding, value, reference)
        sign = -1 if finding.motion.lower_is_better() else 1
        order = (["beyond", "within", "", "expired"].index(status), kind != "range",
                 sign * value if kind == "range" else 0)
        told.append((order, status, value if kind == "range" else None, kind))
    return told


def speaks_of(kind, finding):
    if kind == "range":
        return finding.is_range()
    if kind == "resistance":
        return not finding.is_range()
    if kind == "weight-bearing":
        return finding.motion.joint in LOWER_LIMB and \
            any(word in finding.position.lower() for word in ON_FEET)
    return True


def held(kind, finding, value, reference):
    tried = finding.has_number() or kind == "no-test" and finding.status == "no-angle"
    if not tried:
        return ""
    sign = -1 if finding.motion.lower_is_better() else 1
    passed = {
        "range": lambda: any(sign * t > sign * value + TINY for t in finding.tries),
        "resistance": lambda: finding.test == "force" or
        finding.grade is not None and reference.grades[finding.grade] > reference.grades["3"]}
    return "beyond" if passed.get(kind, lambda: True)() else "within"


# ---- cells ---------------------------------------------------------------------------------------

def aims_of_visit(patient, date, findings, suspect, reference):
    """Finding -> its expected cells."""
    cells = {}
    standings = [Standing(g, date, findings, suspect, reference)
                 for g in goals_on(patient, date, reference)]
    for finding in (f for f in findings if f.date == date):
        mine = [s for s in standings if s.row is finding]
        finding.goal_flags = set().union(*(s.flags for s in mine))
        first = min(mine, key=lambda s: s.goal.order(date_of(date)), default=None)
        status, value = limits_of(finding, reference)
        score = 2 if finding.test == "MMT" else 1
        cells[finding] = {
            "goal_deg": (first.goal.target if first else None, score),
            "goal_percent": (first.percent if first else None, 1),
            "goal_status": (first.status if first else "", None),
            "limit_deg": (value, 1), "limit_status": (status, None)}
    return cells

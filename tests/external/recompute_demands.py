"""Which activities a limited active motion falls short of, computed a second time for recompute.py
from the table of demands and what docs/rules.md says of the family `demand`."""

import functools
import re

from recompute_input import library

MOST = 3
LEAST_SHORTFALL = 0.5
FINGERS = {"index": "2", "middle": "3", "ring": "4", "little": "5"}
TINY = 1e-9


def words(text):
    return re.findall(r"[a-z0-9\u0080-\U0010ffff]+", (text or "").lower())


@functools.lru_cache(maxsize=None)
def states(text, phrase):
    """The words of a phrase, one after the other, among those of a text."""
    have, wanted = words(text), words(phrase)
    return bool(wanted) and any(have[i:i + len(wanted)] == wanted
                                for i in range(len(have) - len(wanted) + 1))


class Demands:
    def __init__(self, folder):
        self.rows, self.knee = [], {"straight": [], "bent": []}
        for root in library(folder):
            if root.tag == "demands":
                self.rows += [dict(e.attrib) for e in root.findall("demand")]
            for e in root.findall("muscle-length"):
                if e.get("joint") == "ankle":
                    self.knee = {"straight": e.get("taut").split(";"),
                                 "bent": e.get("slack").split(";")}

    def suits(self, row, finding):
        if (row["joint"], row["motion"]) != (finding.motion.joint, finding.motion.motion) or \
                row["role"] != "default" or row["unit"] != finding.motion.unit:
            return False
        qualifier, age = row.get("qualifier", ""), finding.patient.age_on(finding.date)
        if "age-min" in row:
            if age is None or not float(row["age-min"]) <= age < float(row["age-max"]) + 1:
                return False
        elif qualifier in FINGERS:
            if finding.digit != FINGERS[qualifier]:
                return False
        elif qualifier not in ("", finding.side):
            return False
        other = {"straight": "bent", "bent": "straight"}.get(row.get("knee"))
        return other is None or not any(states(finding.position, p) for p in self.knee[other])

    def short(self, finding):
        """Ids of the activities, most telling first."""
        if finding.test != "AROM" or finding.limited != "yes" or finding.end is None or \
                finding.second_measurer or finding.motion.lower_is_better():
            return ""
        suiting = [row for row in self.rows if self.suits(row, finding)]
        if not suiting:
            return ""
        goals = [row["goal_activity"] for row in finding.patient.rows if row.get("goal_activity")]

        def named(row):
            spaced = row["activity-id"].replace("-", " ")
            return any(states(goal, spaced) or states(row["activity"], goal)
                       or states(spaced, goal) for goal in goals)

        own = {row["activity-id"] for row in suiting if row.get("qualifier")}
        kinds = {row["icf-code"] for row in self.rows if named(row)}
        found = []
        for place, row in enumerate(suiting):
            if not row.get("qualifier") and row["activity-id"] in own:
                continue
            by = float(row["needed"]) - finding.end
            if "from" in row and finding.start is not None:
                by = max(by, finding.start - float(row["from"]))
            if by < LEAST_SHORTFALL - TINY:
                continue
            spread = float(row["sd"]) if "sd" in row else finding.error.limit
            likely = spread is not None and by > spread + TINY
            rank = 0 if named(row) else 1 if row["icf-code"] in kinds else 2
            found.append(((rank, not likely, -round(by, 9), place), row["activity-id"]))
        return " ".join(name for _, name in sorted(found)[:MOST])
